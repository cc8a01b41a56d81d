"""The plan of a season: what is done with every crate, and how good that is."""

import threading
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.pin import Pin
from ripenroom.season.plans.planned import (
    BrokenPin,
    BrokenPinReason,
    Likely,
    PinCost,
    Plan,
    PlannedLine,
    PlannedMarket,
    PlannedMove,
)
from ripenroom.season.plans.replanner import MOST_STEPS, Replanner

if TYPE_CHECKING:
    from ripenroom.season.learning.learned import Learned

__all__ = [
    "MOST_STEPS",
    "BrokenPin",
    "BrokenPinReason",
    "Likely",
    "PinCost",
    "Plan",
    "PlannedLine",
    "PlannedMarket",
    "PlannedMove",
    "make_plan",
]


def make_plan(
    book: Book,
    crops: Mapping[str, CropProfile],
    now: datetime,
    zone: ZoneInfo,
    *,
    before: Plan | None = None,
    steps: int = MOST_STEPS,
    cancel: threading.Event | None = None,
    pins: Sequence[Pin] | None = None,
    learned: "Learned | None" = None,
) -> Plan:
    """The plan of a season as on ``now``; keeps to the plan ``before`` where that costs nothing.

    A move that is written down for later stands as it is, and so do ``pins``, which are the book's
    if not given. Touches nothing that others can see, so it may run in a thread of its own;
    ``cancel`` ends it early, with the best plan by then.
    """
    replanner = Replanner(book, crops, now, zone, learned, pins)
    return replanner.plan(before, steps, cancel)

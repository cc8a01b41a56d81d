"""The plan of a season: what is done with every crate, and how good that is."""

import threading
from collections.abc import Sequence

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
from ripenroom.season.plans.replanner import SECONDS, Replanner
from ripenroom.season.state import SeasonState

__all__ = [
    "SECONDS",
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
    state: SeasonState,
    *,
    before: Plan | None = None,
    seconds: float = SECONDS,
    cancel: threading.Event | None = None,
    pins: Sequence[Pin] | None = None,
) -> Plan:
    """The plan of a season as on ``now``; keeps to the plan ``before`` where that costs nothing.

    A move that is written down for later stands as it is, and so do ``pins``, which are the book's
    if not given. Touches nothing that others can see, so it may run in a thread of its own;
    ``cancel`` ends it early, with the best plan by then.
    """
    replanner = Replanner(state, pins)
    return replanner.plan(before, seconds, cancel)

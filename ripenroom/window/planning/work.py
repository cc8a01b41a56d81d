"""What is worked out beside the window; knows no Qt, so that a thread may do it."""

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile

# The planner takes a while to import: its own thread does that, once the window is painted.
if TYPE_CHECKING:
    from ripenroom.season.if_left import IfLeft
    from ripenroom.season.learning.learned import Learned
    from ripenroom.season.planned import Plan, PlannedLine
    from ripenroom.season.replanner import Replanner


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A season at one moment; nothing in it changes while a thread reads it."""

    book: Book
    crops: Mapping[str, CropProfile]
    now: datetime
    zone: ZoneInfo
    learned: "Learned | None"


@dataclass(frozen=True, slots=True)
class Made:
    """A plan, what made it, and what is lost where it is not followed in time."""

    plan: "Plan"
    replanner: "Replanner"
    if_left: "Mapping[PlannedLine, IfLeft]"


def made_from(season: Snapshot, before: "Plan | None", cancel: threading.Event) -> Made:
    """The plan of a season, near to the plan ``before``; what was found by ``cancel``."""
    from ripenroom.season.if_left import if_left
    from ripenroom.season.replanner import Replanner

    known = season.book, season.crops, season.now, season.zone
    replanner = Replanner(*known, season.learned)
    plan = replanner.plan(before, cancel=cancel)
    return Made(plan, replanner, if_left(*known, plan.lines, season.learned))

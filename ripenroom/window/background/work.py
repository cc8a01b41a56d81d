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
    from ripenroom.season.advice.check_next import CheckNext
    from ripenroom.season.learning.learned import Learned
    from ripenroom.season.plans.changes import PlanChange
    from ripenroom.season.plans.if_left import IfLeft
    from ripenroom.season.plans.planned import Plan, PlannedLine
    from ripenroom.season.plans.replanner import Replanner


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
    """A plan, what made it, and what there is to tell of it.

    ``yesterday`` is the plan as it was on the evening before, ``changes`` what is planned otherwise
    since; ``if_left`` is what is lost where the plan is not followed in time.
    """

    plan: "Plan"
    replanner: "Replanner"
    yesterday: "Plan"
    changes: "tuple[PlanChange, ...]"
    if_left: "Mapping[PlannedLine, IfLeft]"


def made_from(
    season: Snapshot,
    before: "Plan | None",
    yesterday: "Plan | None",
    cancel: threading.Event,
) -> Made | None:
    """The plan of a season, near to the plan ``before``; what was found by ``cancel``, or None
    where that came before there was anything to choose from.

    Yesterday's plan is worked out if it is not known yet, and counts as the plan before if there
    is no other.
    """
    from ripenroom.planning.choices import CalledOff
    from ripenroom.season.plans.changes import changes_between
    from ripenroom.season.plans.if_left import if_left
    from ripenroom.season.plans.replanner import Replanner

    known = season.book, season.crops, season.now, season.zone
    try:
        if yesterday is None:
            yesterday = _yesterdays_plan(season, cancel)
        replanner = Replanner(*known, season.learned, cancel=cancel)
    except CalledOff:
        return None
    plan = replanner.plan(before or yesterday, cancel=cancel)
    changes = changes_between(yesterday, plan, season.book)
    return Made(plan, replanner, yesterday, changes, if_left(*known, plan.lines, season.learned))


def _yesterdays_plan(season: Snapshot, cancel: threading.Event) -> "Plan":
    """The plan as it would have been made from what was known last evening."""
    from ripenroom.season.plans.replanner import Replanner
    from ripenroom.season.plans.yesterday import yesterday_evening, yesterdays_book

    book = yesterdays_book(season.book, season.now, season.zone)
    evening = yesterday_evening(season.now, season.zone)
    replanner = Replanner(book, season.crops, evening, season.zone, season.learned, cancel=cancel)
    return replanner.plan(cancel=cancel)


def checks_from(season: Snapshot, cancel: threading.Event) -> "tuple[CheckNext, ...]":
    """Which batches to squeeze today, so that the plan gains most from knowing."""
    from ripenroom.season.advice.check_next import check_next

    known = season.book, season.crops, season.now, season.zone, season.learned
    return check_next(*known, cancel=cancel)

"""What is worked out beside the window; knows no Qt, so that a thread may do it."""

import threading
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ripenroom.season.state import SeasonState

# The planner takes a while to import: its own thread does that, once the window is painted.
if TYPE_CHECKING:
    from ripenroom.season.advice.check_next import CheckNext
    from ripenroom.season.plans.changes import PlanChange
    from ripenroom.season.plans.if_left import IfLeft
    from ripenroom.season.plans.planned import Plan, PlannedLine
    from ripenroom.season.plans.replanner import Replanner


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
    state: SeasonState,
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

    try:
        if yesterday is None:
            yesterday = _yesterdays_plan(state, cancel)
        replanner = Replanner(state, cancel=cancel)
    except CalledOff:
        return None
    plan = replanner.plan(before or yesterday, cancel=cancel)
    changes = changes_between(yesterday, plan, state.book)
    return Made(plan, replanner, yesterday, changes, if_left(state, plan.lines))


def _yesterdays_plan(state: SeasonState, cancel: threading.Event) -> "Plan":
    """The plan as it would have been made from what was known last evening."""
    from ripenroom.season.plans.replanner import Replanner
    from ripenroom.season.plans.yesterday import yesterday_evening, yesterdays_book

    book = yesterdays_book(state.book, state.now, state.zone)
    evening = yesterday_evening(state.now, state.zone)
    return Replanner(replace(state, book=book, now=evening), cancel=cancel).plan(cancel=cancel)


def checks_from(state: SeasonState, cancel: threading.Event) -> "tuple[CheckNext, ...]":
    """Which batches to squeeze today, so that the plan gains most from knowing."""
    from ripenroom.season.advice.check_next import check_next

    return check_next(state, cancel=cancel)

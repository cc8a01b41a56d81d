"""The one way to a plan: made anew, near to the one before, with what there is to tell of it."""

import threading
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ripenroom.season.plans.changes import ChangeKind, PlanChange, changes_between
from ripenroom.season.plans.if_left import IfLeft, if_left
from ripenroom.season.plans.planned import Plan, PlannedLine
from ripenroom.season.plans.replanner import Replanner
from ripenroom.season.plans.yesterday import yesterday_evening, yesterdays_book
from ripenroom.season.state import SeasonState

__all__ = [
    "ChangeKind",
    "IfLeft",
    "Plan",
    "PlanChange",
    "PlanUpdate",
    "PlannedLine",
    "Replanner",
    "plan_update",
]


@dataclass(frozen=True, slots=True)
class PlanUpdate:
    """A plan, what made it, and what there is to tell of it.

    ``yesterday`` is the plan as it was on the evening before, ``changes`` what is planned otherwise
    since; ``if_left`` is what is lost where the plan is not followed in time.
    """

    plan: Plan
    replanner: Replanner
    yesterday: Plan
    changes: tuple[PlanChange, ...]
    if_left: Mapping[PlannedLine, IfLeft]


def plan_update(
    state: SeasonState,
    before: Plan | None = None,
    yesterday: Plan | None = None,
    cancel: threading.Event | None = None,
    last: Replanner | None = None,
) -> PlanUpdate:
    """The plan of a season, near to the plan ``before`` where that costs nothing.

    Yesterday's plan is worked out if it is not known yet, and counts as the plan before if there
    is no other. ``last`` made the last plan: what it found and no edit has touched still holds.
    ``cancel`` ends it early, with the best plan by then, or by
    :class:`~ripenroom.planning.choices.CalledOff` where it comes before there was anything to
    choose from. Touches nothing that others can see.
    """
    if yesterday is None:
        yesterday = _yesterdays_plan(state, cancel)
    replanner = Replanner(state, cancel=cancel, last=last)
    plan = replanner.plan(before or yesterday, cancel=cancel)
    changes = changes_between(yesterday, plan, state.book)
    return PlanUpdate(plan, replanner, yesterday, changes, if_left(state, plan.lines))


def _yesterdays_plan(state: SeasonState, cancel: threading.Event | None) -> Plan:
    """The plan as it would have been made from what was known last evening."""
    book = yesterdays_book(state.book, state.now, state.zone)
    evening = yesterday_evening(state.now, state.zone)
    replanner = Replanner(replace(state, book=book, now=evening), cancel=cancel)
    return replanner.plan(cancel=cancel)

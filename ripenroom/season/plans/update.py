"""Makes the plan that all screens and commands show, kept near to the plan before it."""

import threading
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Move, Removal, Treatment
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.records.place import SetPointChange
from ripenroom.season.moments import evening_of, local_day, start_of_day
from ripenroom.season.plans.delays import Delay, if_left
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.plans.plan_changes import ChangeKind, PlanChange, changes_between
from ripenroom.season.plans.planner import Planner
from ripenroom.season.state import SeasonState

_Happened = TypeVar("_Happened", Move, Removal, Treatment, Check)


def yesterday_evening(now: datetime, zone: ZoneInfo) -> datetime:
    """The moment as on which yesterday's plan is worked out: when the day's work was done."""
    return evening_of(local_day(now, zone) - timedelta(days=1), zone)


def yesterdays_book(book: Book, now: datetime, zone: ZoneInfo) -> Book:
    """The records without all that has a time of today, up to now.

    Records do not tell when they were written: what lies ahead of now, such as a move for
    tomorrow, is taken as known yesterday. Batches picked today are gone, with all that was done
    to them.
    """
    today = start_of_day(local_day(now, zone), zone)

    def known(at: datetime) -> bool:
        return at < today or at > now

    batches = {key: batch for key, batch in book.batches.items() if batch.picked_at < today}

    def of_batches(records: Iterable[_Happened]) -> dict[str, _Happened]:
        return {
            record.id: record
            for record in records
            if known(record.at) and record.batch_id in batches
        }

    days = {
        key: replace(day, settled_at=None)
        if day.settled_at is not None and not known(day.settled_at)
        else day
        for key, day in book.market_days.items()
    }
    settled = {key for key, day in days.items() if day.settled_at is not None}
    return replace(
        book,
        batches=batches,
        moves=of_batches(book.moves.values()),
        removals=of_batches(book.removals.values()),
        treatments=of_batches(book.treatments.values()),
        checks=of_batches(book.checks.values()),
        set_points=_set_points(book, known_until=today, now=now),
        market_days=days,
        brought={
            key: brought
            for key, brought in book.brought.items()
            if brought.market_day_id in settled and brought.batch_id in batches
        },
        pins={
            key: replace(pin, packed_at=None)
            if pin.packed_at is not None and not known(pin.packed_at)
            else pin
            for key, pin in book.pins.items()
            if pin.batch_id in batches
        },
    )


def _set_points(book: Book, known_until: datetime, now: datetime) -> dict[str, SetPointChange]:
    """Set points but those of today; a place that was set up today keeps its first, as the
    earliest change of a place holds for all time before it."""
    first: dict[str, SetPointChange] = {}
    for change in sorted(book.set_points.values(), key=lambda c: c.at):
        first.setdefault(change.place_id, change)
    kept = {change.id for change in first.values()}
    return {
        key: change
        for key, change in book.set_points.items()
        if change.at < known_until or change.at > now or key in kept
    }


__all__ = [
    "ChangeKind",
    "Delay",
    "Plan",
    "PlanChange",
    "PlanUpdate",
    "PlannedItinerary",
    "Planner",
    "plan_at_once",
    "plan_update",
]


@dataclass(frozen=True, slots=True)
class PlanUpdate:
    """A plan, what made it, and what there is to tell of it.

    ``yesterday`` is the plan as it was on the evening before (None: not looked for yet),
    ``changes`` what is planned otherwise since; ``if_left`` is what is lost where the plan is not
    followed in time.
    """

    plan: Plan
    replanner: Planner
    yesterday: Plan | None
    changes: tuple[PlanChange, ...]
    if_left: Mapping[PlannedItinerary, Delay]


def plan_update(
    state: SeasonState,
    before: Plan | None = None,
    yesterday: Plan | None = None,
    cancel: threading.Event | None = None,
    last: Planner | None = None,
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
    replanner = Planner(state, cancel=cancel, last=last)
    plan = replanner.plan(before or yesterday, cancel=cancel)
    changes = changes_between(yesterday, plan, state.book)
    return PlanUpdate(plan, replanner, yesterday, changes, if_left(state, plan.lines))


def plan_at_once(state: SeasonState, cancel: threading.Event | None = None) -> PlanUpdate:
    """A good plan, in a fraction of the time of :func:`plan_update`, which does not hang on it.

    ``cancel`` ends it as there.
    """
    replanner = Planner(state, cancel=cancel, at_once=True)
    return PlanUpdate(replanner.plan(cancel=cancel), replanner, None, (), {})


def _yesterdays_plan(state: SeasonState, cancel: threading.Event | None) -> Plan:
    """The plan as it would have been made from what was known last evening."""
    book = yesterdays_book(state.book, state.now, state.zone)
    evening = yesterday_evening(state.now, state.zone)
    replanner = Planner(replace(state, book=book, now=evening), cancel=cancel)
    return replanner.plan(cancel=cancel)

"""The plan as the queue shows it: for every batch, which crates go which way."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay
from ripenroom.season.moments import to_hours
from ripenroom.window.queue.batch_order import place_marks

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan, PlannedItinerary, PlannedMarket


class ItineraryEnd(StrEnum):
    """What becomes of crates in the end."""

    SOLD = "sold"
    SECOND_GRADE = "second grade"
    LEFT = "left"
    CLEARED = "cleared away"


@dataclass(frozen=True, slots=True, eq=False)
class QueueItinerary:
    """Crates of one batch that go one way; hours since the epoch (UTC), ``nan`` where there is
    none."""

    line: "PlannedItinerary"
    fate: ItineraryEnd
    waits: tuple[tuple[float, str], ...]
    """Where they wait: from when on (``-inf``: where they are now), and the place's mark."""
    pull_h: float
    """When they are moved for the last time."""
    ends_h: float
    """When they are sold."""
    written: bool
    """Whether the move is written down already, so that the plan has no say in it."""

    @property
    def pinned(self) -> bool:
        """Whether the plan follows a pin."""
        return self.line.pin_id is not None


@dataclass(frozen=True, slots=True, eq=False)
class QueuePlan:
    """A plan's ways by batch and by expected pick, and what it brings to each market day."""

    ways: Mapping[str, tuple[QueueItinerary, ...]]
    expected_ways: Mapping[str, tuple[QueueItinerary, ...]]
    markets: Mapping[tuple[str, str], "PlannedMarket"]
    """By market day and crop."""
    place_names: Mapping[str, str]
    day_names: Mapping[str, str]
    buyers_days: Mapping[tuple[str, str], float]
    """Within how many days its buyers eat a crop, by market day and crop, as far as known."""


def planned_of(
    plan: "Plan", book: Book, buyers_days: Callable[[MarketDay, str], float | None]
) -> QueuePlan:
    """What of a plan can be shown beside a book; what speaks of records that are gone is left out.

    That happens while a new plan is being worked out.
    """
    marks = place_marks({place.id: place.name for place in book.places.values()})
    starts = {day.id: to_hours(day.starts_at) for day in book.market_days.values()}
    moved = _move_hours(book)
    ways: dict[str, list[QueueItinerary]] = {}
    expected: dict[str, list[QueueItinerary]] = {}
    sold: set[tuple[str, str]] = set()
    for line in plan.lines:
        shelf, key = ways, line.batch_id
        if line.expected_pick_id is not None:
            shelf, key = expected, line.expected_pick_id
        known = key in (book.expected_picks if shelf is expected else book.batches)
        way = _way(line, marks, starts, moved.get(line.batch_id, ())) if known else None
        if way is not None:
            shelf.setdefault(key, []).append(way)
            if line.market_day_id is not None:
                of = book.expected_picks[key] if shelf is expected else book.batches[key]
                sold.add((line.market_day_id, of.crop))
    eaten = {(day, crop): buyers_days(book.market_days[day], crop) for day, crop in sold}
    return QueuePlan(
        ways={key: _in_order(found) for key, found in ways.items()},
        expected_ways={key: _in_order(found) for key, found in expected.items()},
        markets={(one.market_day_id, one.crop): one for one in plan.markets},
        place_names={place.id: place.name for place in book.places.values()},
        day_names={day.id: day.name for day in book.market_days.values()},
        buyers_days={key: days for key, days in eaten.items() if days is not None},
    )


def _move_hours(book: Book) -> dict[str, list[float]]:
    hours: dict[str, list[float]] = {}
    for move in book.moves.values():
        hours.setdefault(move.batch_id, []).append(to_hours(move.at))
    return hours


def _way(
    line: "PlannedItinerary",
    marks: Mapping[str, str],
    starts: Mapping[str, float],
    moved_h: Sequence[float],
) -> QueueItinerary | None:
    places = [line.from_place_id, *(step.place_id for step in line.steps)]
    sold = line.market_day_id
    if any(place not in marks for place in places) or (sold is not None and sold not in starts):
        return None
    waits = [(-math.inf, marks[line.from_place_id])]
    waits += [(to_hours(step.at), marks[step.place_id]) for step in line.steps]
    pull_h = math.nan if line.pull_at is None else to_hours(line.pull_at)
    ends_h = math.nan if sold is None else starts[sold]
    if line.second_grade:
        fate, ends_h = ItineraryEnd.SECOND_GRADE, pull_h
    elif sold is not None:
        fate = ItineraryEnd.SOLD
    else:
        fate = ItineraryEnd.CLEARED if line.to_place_id is None else ItineraryEnd.LEFT
    return QueueItinerary(line, fate, tuple(waits), pull_h, ends_h, pull_h in moved_h)


def _in_order(ways: list[QueueItinerary]) -> tuple[QueueItinerary, ...]:
    """By market day and pull; what is not sold comes last."""

    def when(way: QueueItinerary) -> tuple[bool, float, float]:
        ends_h = math.inf if math.isnan(way.ends_h) else way.ends_h
        return (
            way.fate is not ItineraryEnd.SOLD,
            ends_h,
            0.0 if math.isnan(way.pull_h) else way.pull_h,
        )

    return tuple(sorted(ways, key=when))

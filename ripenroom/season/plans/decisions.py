"""Other ways for crates than the planned one: another evening, another market day, another place.

A decision is a :class:`~ripenroom.records.market.Pin` that is not written down yet.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, tzinfo
from enum import StrEnum
from typing import TYPE_CHECKING

from ripenroom.records.batch import Move
from ripenroom.records.book import Book, new_id
from ripenroom.records.market import MarketDay, Pin
from ripenroom.records.place import Place
from ripenroom.season.moments import evenings_between
from ripenroom.season.plans.demand import days_ahead
from ripenroom.season.whereabouts import moves_of

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary

_WITHOUT_MARKETS = timedelta(days=14)
"""How many evenings there are to choose from where no market day lies ahead."""


@dataclass(frozen=True, slots=True)
class DecisionOptions:
    """What there is to choose from: evenings on which crates are moved, and market days ahead."""

    evenings: tuple[datetime, ...]
    market_days: tuple[MarketDay, ...]

    def evenings_before(self, market_day_id: str | None) -> tuple[datetime, ...]:
        """Evenings on which a move still comes in time for a market day (None: all)."""
        starts = next((d.starts_at for d in self.market_days if d.id == market_day_id), None)
        return tuple(one for one in self.evenings if starts is None or one < starts)

    def nearest_evening(self, at: datetime, market_day_id: str | None) -> datetime | None:
        """The evening nearest to a moment that comes in time for the market day."""
        before = self.evenings_before(market_day_id)
        return min(before, key=lambda one: abs(one - at), default=None)

    def nearest_market_day(self, at: datetime) -> MarketDay | None:
        """The market day that starts nearest to a moment."""
        return min(self.market_days, key=lambda day: abs(day.starts_at - at), default=None)


def options_of(book: Book, now: datetime, zone: tzinfo) -> DecisionOptions:
    """What can still be chosen as on ``now``."""
    ahead = days_ahead(book, now)
    last = ahead[-1].starts_at if ahead else now + _WITHOUT_MARKETS
    return DecisionOptions(tuple(evenings_between(now, last, zone)), ahead)


def destinations(book: Book, here_id: str | None) -> list[Place]:
    """Places into which crates can be planned from where they are, by name."""
    there = (
        place for place in book.places.values() if place.is_destination and place.id != here_id
    )
    return sorted(there, key=lambda place: place.name.casefold())


def as_pin(line: "PlannedItinerary", book: Book) -> Pin:
    """A planned line as the pin that keeps it as it is; the pin it follows, if it does.

    Where the last move is written down already, the pin leaves that alone. A pin knows one move: of
    two it keeps the last.
    """
    found = book.pins.get(line.pin_id or "")
    if found is not None:
        return found
    written = {move.at for move in moves_of(book, line.batch_id)}
    moves = line.pull_at is not None and line.pull_at not in written and not line.second_grade
    return Pin(
        id=new_id(),
        batch_id=line.batch_id,
        crates=line.crates,
        pull_at=line.pull_at if moves else None,
        place_id=line.to_place_id if moves else None,
        market_day_id=line.market_day_id,
    )


class Unpinnable(StrEnum):
    """Why a planned line can be neither pinned as it is nor left to the plan again."""

    EXPECTED = "expected"
    PACKED = "packed"
    SECOND_GRADE = "second grade"
    CLEARED = "cleared"
    MOVES_TWICE = "moves twice"
    """Two moves that nobody has written down: a pin would lose one."""


def unpinnable(line: "PlannedItinerary", book: Book) -> Unpinnable | None:
    """Why a line cannot be pinned as it is; None if it can, or follows a pin that can be taken
    off."""
    if line.expected_pick_id is not None:
        return Unpinnable.EXPECTED
    if line.packed:
        return Unpinnable.PACKED
    if line.second_grade:
        return Unpinnable.SECOND_GRADE
    if line.to_place_id is None and line.market_day_id is None:
        return Unpinnable.CLEARED
    written = {move.at for move in moves_of(book, line.batch_id)}
    if line.pin_id is None and sum(step.at not in written for step in line.steps) > 1:
        return Unpinnable.MOVES_TWICE
    return None


class Decision(StrEnum):
    """What a grower decided of crates, which the plan works around."""

    PACKED = "packed"
    PINNED = "pinned"
    WRITTEN = "written"


def decision_of(line: "PlannedItinerary", moves: Iterable[Move]) -> Decision | None:
    """What the grower decided of a line, whose batch has these ``moves`` written down; None where
    the plan chose it."""
    if line.packed:
        return Decision.PACKED
    if line.pin_id is not None:
        return Decision.PINNED
    return Decision.WRITTEN if is_written(line, moves) else None


def is_written(line: "PlannedItinerary", moves: Iterable[Move]) -> bool:
    """Whether the next move of a line is among the ``moves`` of its batch that are written down:
    it is made whatever the plan thinks of it."""
    step = line.next_step()
    if step.pull_at is None or step.second_grade:
        return False
    return any((move.at, move.place_id) == (step.pull_at, step.to_place_id) for move in moves)


def pulled(pin: Pin, at: datetime | None, options: DecisionOptions) -> Pin:
    """The same, pulled on the evening nearest to ``at`` instead; a later one than the market day
    allows is the last one before it."""
    if pin.place_id is None or at is None:
        return pin
    evening = options.nearest_evening(at, pin.market_day_id)
    return pin if evening is None else replace(pin, pull_at=evening)


def shifted(pin: Pin, days: int, options: DecisionOptions) -> Pin:
    """The same, pulled so many evenings later (or, negative, earlier), as far as there are any."""
    evenings = options.evenings_before(pin.market_day_id)
    if pin.pull_at is None or not evenings:
        return pin
    nearest = min(
        range(len(evenings)), key=lambda n: abs(evenings[n] - (pin.pull_at or evenings[n]))
    )
    return replace(pin, pull_at=evenings[min(max(nearest + days, 0), len(evenings) - 1)])


def sold_on(pin: Pin, day: MarketDay, options: DecisionOptions) -> Pin:
    """The same for another market day; a pull that would come too late is put forward."""
    other = replace(pin, market_day_id=day.id)
    if other.pull_at is None or other.pull_at < day.starts_at:
        return other
    evening = options.nearest_evening(other.pull_at, day.id)
    return replace(other, pull_at=evening, place_id=other.place_id if evening is not None else None)


def next_market(pin: Pin, steps: int, options: DecisionOptions) -> Pin:
    """The same for the market day so many further on (or, negative, before)."""
    ids = [day.id for day in options.market_days]
    if not ids:
        return pin
    if pin.market_day_id not in ids:
        return sold_on(pin, options.market_days[0 if steps > 0 else -1], options)
    number = min(max(ids.index(pin.market_day_id) + steps, 0), len(ids) - 1)
    return sold_on(pin, options.market_days[number], options)


def waits_in(pin: Pin, place_id: str | None, options: DecisionOptions) -> Pin:
    """The same, moved to another place; without a pull so far that is on the first evening.

    None: not moved at all.
    """
    if place_id is None:
        return replace(pin, pull_at=None, place_id=None)
    evenings = options.evenings_before(pin.market_day_id)
    if not evenings:
        return replace(pin, pull_at=None, place_id=None)
    return replace(pin, pull_at=pin.pull_at or evenings[0], place_id=place_id)

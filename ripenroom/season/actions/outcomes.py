"""Reads what was recorded of a past market day, and gives the records without it.

The parts of batches that came back, and what was squeezed of them, have ids that follow from the
market day and the batch, so that they are found again.
"""

import uuid
from dataclasses import dataclass

from ripenroom.records.batch import Batch, Outcome
from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay
from ripenroom.season.actions.splitting import joined
from ripenroom.season.whereabouts import moves_of

_NAMES = uuid.UUID("5f6f2d0e-6b0e-4f0e-9c51-0d1b8f6d6a57")


@dataclass(frozen=True, slots=True)
class BatchOutcome:
    """So many fruit of a batch were ``brought``, ``sold`` (each for ``price_minor``, if known) and
    ``thrown`` away; the others came back."""

    batch_id: str
    brought: int
    sold: int
    thrown: int
    price_minor: int | None = None

    @property
    def came_back(self) -> int:
        """Fruit that was neither sold nor thrown away."""
        return self.brought - self.sold - self.thrown


def part_that_came_back(market_day_id: str, batch_id: str) -> str:
    """Id of the batch that is split off a batch when a part of it comes back from a market day."""
    return str(uuid.uuid5(_NAMES, f"part/{market_day_id}/{batch_id}"))


def move_back(market_day_id: str, batch_id: str) -> str:
    """Id of the move that a whole batch makes when it comes back from a market day."""
    return str(uuid.uuid5(_NAMES, f"move/{market_day_id}/{batch_id}"))


def stand_squeeze(market_day_id: str, batch_id: str) -> str:
    """Id of the check that says that what came back of a batch was squeezed at the stand."""
    return str(uuid.uuid5(_NAMES, f"squeeze/{market_day_id}/{batch_id}"))


def was_too_firm(book: Book, market_day_id: str) -> bool:
    """Whether it is written down that what came back from a market day was too firm for it."""
    brought = _brought(book, market_day_id)
    return any(stand_squeeze(market_day_id, batch_id) in book.checks for batch_id in brought)


def outcomes_of(book: Book, market_day_id: str) -> tuple[BatchOutcome, ...]:
    """What is written down of a market day so far, batch by batch in the order of their codes.

    Fruit that was sold without a word on how many were brought was brought for that.
    """
    gone: dict[tuple[str, Outcome], int] = {}
    prices: dict[str, int] = {}
    brought: dict[str, int] = {}
    for removal in book.removals.values():
        if removal.market_day_id == market_day_id:
            key = removal.batch_id, removal.outcome
            gone[key] = gone.get(key, 0) + removal.count
            brought[removal.batch_id] = brought.get(removal.batch_id, 0) + removal.count
            if removal.price_minor is not None:
                prices[removal.batch_id] = removal.price_minor
    for record in book.brought.values():
        if record.market_day_id == market_day_id:
            brought[record.batch_id] = record.count
    return tuple(
        BatchOutcome(
            batch_id,
            brought[batch_id],
            gone.get((batch_id, "sold"), 0),
            gone.get((batch_id, "discarded"), 0),
            prices.get(batch_id),
        )
        for batch_id in sorted(brought, key=lambda b: book.batches[b].code)
    )


def came_back_to(book: Book, market_day_id: str) -> str | None:
    """The place to which fruit came back from a market day, if it was another than before."""
    for batch_id in _brought(book, market_day_id):
        part_id = part_that_came_back(market_day_id, batch_id)
        for move_id in (move_back(market_day_id, batch_id), move_back(part_id, part_id)):
            if move_id in book.moves:
                return book.moves[move_id].place_id
    return None


def _brought(book: Book, market_day_id: str) -> list[str]:
    return [b.batch_id for b in book.brought.values() if b.market_day_id == market_day_id]


def parts_used_since(book: Book, before: Book, day: MarketDay) -> dict[str, int]:
    """How many fruit of each batch came back as a part that has a story of its own by now.

    ``before`` is the book as :func:`unsettled` leaves it.
    """
    return {
        outcome.batch_id: outcome.came_back
        for outcome in outcomes_of(book, day.id)
        if part_that_came_back(day.id, outcome.batch_id) in before.batches
    }


def unsettled(book: Book, day: MarketDay) -> Book:
    """The book before the market day was settled, but for parts that were used since."""
    gone = [
        record
        for shelf in (book.removals, book.brought)
        for record in shelf.values()
        if record.market_day_id == day.id
    ]
    after = book.with_changes(deleted=gone)
    for batch_id in _brought(book, day.id):
        back = after.moves.get(move_back(day.id, batch_id))
        squeeze = after.checks.get(stand_squeeze(day.id, batch_id))
        written = (record for record in (back, squeeze) if record is not None)
        after = after.with_changes(deleted=tuple(written))
        part = after.batches.get(part_that_came_back(day.id, batch_id))
        if part is not None and not _used(after, part):
            after = joined(after, part)
    return after


def _used(book: Book, part: Batch) -> bool:
    """Whether more was written down of a part than that it came back."""
    if part.split_from not in book.batches:
        return True
    hanging = (book.removals, book.checks, book.pins, book.brought)
    if any(r.batch_id == part.id for shelf in hanging for r in shelf.values()):
        return True
    if any(b.split_from == part.id for b in book.batches.values()):
        return True
    came = book.moves.get(move_back(part.id, part.id))
    if came is None:
        return True
    # Where the rest of the batch was to go, the part was to go as well.
    known = {(move.at, move.place_id) for move in moves_of(book, part.split_from or "")}
    later = (move for move in moves_of(book, part.id) if move.at > came.at)
    return any((move.at, move.place_id) not in known for move in later)

"""Where batches are and were: their moves, what waits in each place, and fruit packed and away.

Fruit is away if it is packed for a market day that has begun, until that is settled. What comes
back is said then. Until then nothing can be done with it, and nobody knows how much of it is sold.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import Batch, Move, Removal
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay, Pin
from ripenroom.records.place import Place
from ripenroom.records.refusal import Refusal
from ripenroom.season.amounts import fruit_in, fruit_left, fruit_per_crate, whole_fruit
from ripenroom.season.projection import Projection


class PlaceContents(NamedTuple):
    """How much waits in a place."""

    batches: int
    fruit: float


def places_at(book: Book, at: datetime, *, also_ahead: bool = False) -> dict[str, Place]:
    """The place of each batch (by id) at a moment, in one pass over the moves; see
    :func:`place_at`. A batch that is nowhere is left out."""
    found = {
        batch_id: place_at(moves, at, also_ahead=also_ahead)
        for batch_id, moves in moves_by_batch(book).items()
    }
    return {batch_id: book.places[key] for batch_id, key in found.items() if key is not None}


def place_at(moves: Sequence[Move], at: datetime, *, also_ahead: bool = False) -> str | None:
    """Id of the place where a batch is at a moment, by its moves, earliest first.

    Before its pick it is nowhere, or ``also_ahead`` where it will be first.
    """
    place_id = moves[0].place_id if moves and also_ahead else None
    for move in moves:
        if move.at > at:
            break
        place_id = move.place_id
    return place_id


def held_at(book: Book, projection: Projection, at: datetime) -> dict[str, PlaceContents]:
    """What is left in each place (by id) at a moment; a place that holds nothing is left out."""
    places = places_at(book, at)
    batches: Counter[str] = Counter()
    fruit: dict[str, float] = {}
    for line in np.flatnonzero(projection.left > 0):
        place = places.get(projection.batch_ids[int(line)])
        if place is not None:
            batches[place.id] += 1
            fruit[place.id] = fruit.get(place.id, 0.0) + float(projection.left[line])
    return {
        place_id: PlaceContents(batches[place_id], amount) for place_id, amount in fruit.items()
    }


def line_of_descent(batch_id: str, batches: Mapping[str, Batch]) -> Iterator[str]:
    """Ids of the batch and of those it was parted from, the nearest first.

    The last may be gone. Records of others may go round in a ring: no batch is told twice.
    """
    told: set[str] = set()
    key: str | None = batch_id
    while key is not None and key not in told:
        yield key
        told.add(key)
        batch = batches.get(key)
        key = batch.split_from if batch is not None else None


def harvest_of(batch_id: str, batches: Mapping[str, Batch]) -> str:
    """Id of the batch that this one was first part of, which may be gone; its own if of none."""
    *_, first = line_of_descent(batch_id, batches)
    return first


def moves_of(book: Book, batch_id: str) -> list[Move]:
    """A batch's moves, earliest first."""
    return sorted(
        (move for move in book.moves.values() if move.batch_id == batch_id), key=lambda m: m.at
    )


def moves_by_batch(book: Book) -> dict[str, list[Move]]:
    """The moves of every batch that has any, earliest first; one pass over the book."""
    found: dict[str, list[Move]] = {}
    for move in sorted(book.moves.values(), key=lambda m: m.at):
        found.setdefault(move.batch_id, []).append(move)
    return found


def market_of(batch_id: str, book: Book, now: datetime) -> MarketDay | None:
    """The market day at which fruit of a batch is; None where all of it is at home."""
    days = (_market_of(pin, book, now) for pin in book.pins.values() if pin.batch_id == batch_id)
    return next((day for day in days if day is not None), None)


def is_away(pin: Pin, book: Book, now: datetime) -> bool:
    """Whether the crates of a pin stand packed at a market day that has begun."""
    return _market_of(pin, book, now) is not None


def at_home(book: Book, crops: Mapping[str, CropProfile], now: datetime) -> Book:
    """The book as if all that is away was gone, and without its pins; the book itself where
    nothing is. It is to reckon with, not to be kept."""
    away = [(pin, day) for pin in book.pins.values() if (day := _market_of(pin, book, now))]
    for pin, day in away:
        batch = book.batches[pin.batch_id]
        fruit = 0
        if batch.crop in crops:
            left = fruit_left(book, crops, batch)
            fruit = whole_fruit(fruit_in(pin.crates, left, fruit_per_crate(crops, batch)))
        gone = Removal(
            id=f"away {pin.id}",
            batch_id=batch.id,
            at=max(day.starts_at, pin.packed_at or day.starts_at),
            count=fruit,
            outcome="sold",
            market_day_id=day.id,
        )
        book = book.with_changes([gone] if fruit else [], [pin])
    return book


def _market_of(pin: Pin, book: Book, now: datetime) -> MarketDay | None:
    """The market day at which the crates of a pin are; None where they are not away."""
    day = book.market_days.get(pin.market_day_id or "")
    if pin.packed_at is None or day is None or day.starts_at > now or day.settled_at is not None:
        return None
    return day


def felt_ready(pin: Pin, book: Book) -> bool:
    """Whether the fruit of a pin was found ready for its market day as it was packed.

    That says nothing of another market day, to which what came back may be brought later.
    """
    batch = book.batches.get(pin.batch_id)
    if batch is None or not batch.taken or pin.market_day_id not in book.market_days:
        return False
    squeeze = book.checks.get(batch.picked_over or "")
    return squeeze is not None and squeeze.at == pin.packed_at


def require_place(book: Book, place_id: str) -> Place:
    """The place of that id; refuse one that is gone."""
    if place_id not in book.places:
        raise Refusal("place_id", "This place is not in the season any more.")
    return book.places[place_id]

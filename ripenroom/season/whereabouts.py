"""Where batches are, how much waits in each place, and what a batch was once part of."""

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.place import Place
from ripenroom.season.projection import Projection


class Held(NamedTuple):
    """How much waits in a place."""

    batches: int
    fruit: float


def places_at(book: Book, at: datetime, *, also_ahead: bool = False) -> dict[str, Place]:
    """The place of each batch (by id) at a moment, in one pass over the moves.

    A batch that is not picked by then is left out, or ``also_ahead`` is where it will be first.
    """
    found: dict[str, str] = {}
    for move in sorted(book.moves.values(), key=lambda move: move.at):
        if move.at <= at or (also_ahead and move.batch_id not in found):
            found[move.batch_id] = move.place_id
    return {batch_id: book.places[place_id] for batch_id, place_id in found.items()}


def held_at(book: Book, projection: Projection, at: datetime) -> dict[str, Held]:
    """What is left in each place (by id) at a moment; a place that holds nothing is left out."""
    places = places_at(book, at)
    batches: Counter[str] = Counter()
    fruit: dict[str, float] = {}
    for line in np.flatnonzero(projection.left > 0):
        place = places.get(projection.batch_ids[int(line)])
        if place is not None:
            batches[place.id] += 1
            fruit[place.id] = fruit.get(place.id, 0.0) + float(projection.left[line])
    return {place_id: Held(batches[place_id], amount) for place_id, amount in fruit.items()}


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

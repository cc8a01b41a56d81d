"""A guess at what was brought to a past market day, to fill in the form "After the market"."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay
from ripenroom.season.actions.outcomes import (
    BatchOutcome,
    outcomes_of,
    part_that_came_back,
    parts_used_since,
    unsettled,
)
from ripenroom.season.amounts import (
    LEAST_FRUIT,
    fruit_in,
    fruit_left,
    fruit_per_crate,
    picked_fruit,
    whole_fruit,
)
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import Projection

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary

_MOST_GUESSED = 12
"""More batches than this are no help to choose from: what came is added by its code then."""


def probably_brought(
    book: Book,
    crops: Mapping[str, CropProfile],
    projection: Projection,
    day: MarketDay,
    planned: Iterable["PlannedItinerary"] = (),
) -> tuple[BatchOutcome, ...]:
    """Batches that probably came to a market day; how many fruit, as far as anything says so.

    First comes what is written down of the day already. Once it is settled, that is all. Else what
    stands packed for it, or what is pinned and ``planned`` for it, or, brought 0, what was ready
    of the crops that it wants.
    """
    written = outcomes_of(book, day.id)
    if day.settled_at is not None:
        return written
    told = {outcome.batch_id for outcome in written}
    fruit = packed_for(book, crops, day) or _planned(book, crops, day, planned)
    guessed = fruit or dict.fromkeys(_ready(book, projection, day)[:_MOST_GUESSED], 0)
    there = could_come(book, crops, day)
    found = [
        BatchOutcome(batch_id, min(brought, there[batch_id]), 0, 0)
        for batch_id, brought in guessed.items()
        if batch_id in there and batch_id not in told
    ]
    return (*written, *sorted(found, key=lambda outcome: book.batches[outcome.batch_id].code))


def could_come(book: Book, crops: Mapping[str, CropProfile], day: MarketDay) -> Mapping[str, int]:
    """Fruit of each batch that were there when a market day began, where there were any.

    Of what was weighed, and is of no known crop, nobody knows.
    """
    before = unsettled(book, day)
    apart = parts_used_since(book, before, day)
    gone: Counter[str] = Counter()
    for removal in before.removals.values():
        if removal.at < day.starts_at:
            gone[removal.batch_id] += removal.count
    parts = {part_that_came_back(day.id, batch_id) for batch_id in apart}
    found: dict[str, int] = {}
    for batch in before.batches.values():
        known = batch.count is not None or batch.crop in crops
        if batch.id not in parts and known and batch.picked_at <= day.starts_at:
            left = whole_fruit(picked_fruit(crops, batch) - gone[batch.id])
            found[batch.id] = left + apart.get(batch.id, 0)
    return {batch_id: fruit for batch_id, fruit in found.items() if fruit}


def packed_for(book: Book, crops: Mapping[str, CropProfile], day: MarketDay) -> dict[str, int]:
    """Fruit of each batch that stand packed for a market day."""
    return _pinned(book, crops, day, packed_only=True)


def _pinned(
    book: Book, crops: Mapping[str, CropProfile], day: MarketDay, packed_only: bool
) -> dict[str, int]:
    """Fruit of each batch in the crates that are pinned to a market day.

    All crates of a batch count together, after those of market days before: a part of a fruit in
    each of two crates is not a fruit more.
    """
    ours, ahead = Counter[str](), Counter[str]()
    for pin in book.pins.values():
        if book.batches[pin.batch_id].crop not in crops or (packed_only and pin.packed_at is None):
            continue
        if pin.market_day_id == day.id:
            ours[pin.batch_id] += pin.crates
        elif (other := book.market_days.get(pin.market_day_id or "")) is not None:
            ahead[pin.batch_id] += pin.crates if other.starts_at < day.starts_at else 0
    found: dict[str, int] = {}
    for batch_id, crates in ours.items():
        batch, before = book.batches[batch_id], ahead[batch_id]
        left, per_crate = fruit_left(book, crops, batch), fruit_per_crate(crops, batch)
        upto, gone = (round(fruit_in(n, left, per_crate)) for n in (before + crates, before))
        found[batch_id] = upto - gone
    return found


def _planned(
    book: Book,
    crops: Mapping[str, CropProfile],
    day: MarketDay,
    planned: Iterable["PlannedItinerary"],
) -> dict[str, int]:
    """Fruit of each batch that a plan, or a pin, would bring to a market day."""
    found: dict[str, float] = {}
    for line in planned:
        if line.market_day_id == day.id and line.batch_id in book.batches:
            found[line.batch_id] = found.get(line.batch_id, 0.0) + line.fruit
    whole = {batch_id: round(fruit) for batch_id, fruit in found.items()}
    return _pinned(book, crops, day, packed_only=False) | whole


def _ready(book: Book, projection: Projection, day: MarketDay) -> list[str]:
    """Batches that had fruit and were ready when a market began, the readiest first."""
    wanted = {want.crop for want in book.wants.values() if want.market_day_id == day.id}
    begins_h = to_hours(day.starts_at)
    lines = [
        line
        for line, batch_id in enumerate(projection.batch_ids)
        if book.batches[batch_id].crop in wanted
        and projection.left[line] >= LEAST_FRUIT
        and projection.first_ready_h.mid[line] <= begins_h
    ]
    lines.sort(key=lambda line: float(projection.opens_h.mid[line]))
    return [projection.batch_ids[line] for line in lines]

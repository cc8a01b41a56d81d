"""Random seasons with market days to plan for, from a seeded generator."""

import random
from dataclasses import replace
from datetime import timedelta

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay, Want
from tests.benchmarks.seasons import large_book

_PICKED_WITHIN_DAYS = 12.0
_PLANNED_DAYS = 40.0
_RIPE_IN_TIME = 0.5
"""About this part of the fruit can be sold at all: some is past, some will not be ready."""


def market_book(batches: int, days: int, seed: int, demand: float = 1.0) -> Book:
    """A farm with ``batches`` picked lately and ``days`` market days over the next 40 days.

    Batches hold 2 to 20 crates or so. What the market days want is, together, about ``demand``
    times what can be sold. Places hold two thirds to twice of what stands in them now.
    """
    rng = random.Random(seed)
    book = large_book(batches, seed, moved=0.0)
    now = book.season.practice_now
    assert now is not None
    made: dict[str, Batch] = {}
    fruit: dict[str, int] = {}
    for batch in book.batches.values():
        picked_at = now - timedelta(days=_PICKED_WITHIN_DAYS * rng.random())
        count = rng.randint(40, 400)
        made[batch.id] = replace(batch, picked_at=picked_at.replace(microsecond=0), count=count)
        fruit[batch.crop] = fruit.get(batch.crop, 0) + count
    moves = {
        move.id: replace(move, at=made[move.batch_id].picked_at) for move in book.moves.values()
    }
    crops = sorted(fruit)
    day_records: dict[str, MarketDay] = {}
    wants: dict[str, Want] = {}
    for number in range(days):
        at = now + timedelta(days=_PLANNED_DAYS * (number + rng.random()) / days, hours=1)
        day = MarketDay(
            id=f"day-{number:03d}",
            name=f"Market {number}",
            kind="market",
            starts_at=at.replace(microsecond=0),
            eat_within_days=rng.choice((0, 0, 1, 3)),
        )
        day_records[day.id] = day
        for crop in crops:
            usual = demand * _RIPE_IN_TIME * fruit[crop] / days
            wants[f"{day.id}-{crop}"] = Want(
                id=f"{day.id}-{crop}",
                market_day_id=day.id,
                crop=crop,
                count=max(1, round(usual * rng.uniform(0.3, 1.7))),
                price_minor=rng.randint(50, 200),
            )
    crates = sum(fruit.values()) / 20.0
    places = {
        place.id: replace(
            place,
            capacity_crates=round(crates / len(book.places) * rng.uniform(0.7, 2.0)),
        )
        for place in book.places.values()
    }
    return replace(
        book,
        batches=made,
        moves=moves,
        market_days=day_records,
        wants=wants,
        places=places,
        removals={},
    )

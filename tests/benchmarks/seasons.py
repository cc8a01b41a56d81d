"""Large seasons for benchmarks, from a seeded generator."""

import random
from dataclasses import replace
from datetime import timedelta

from ripenroom.records.batch import Batch, FeelCounts, Move
from ripenroom.records.book import Book
from ripenroom.season.practice import demo_book

FEELS: tuple[FeelCounts, ...] = (
    (30, 0, 0, 0, 0),
    (0, 24, 0, 0, 0),
    (0, 0, 18, 0, 0),
    (0, 20, 9, 1, 0),
)


def large_book(batches: int, seed: int = 1, moved: float = 1 / 3) -> Book:
    """The practice farm with ``batches`` random batches; the share ``moved`` of them is moved once.

    Picks lie in the 30 days before the practice season's now, so pulp lag and every place,
    swinging or steady, take part.
    """
    rng = random.Random(seed)
    book = demo_book()
    now = book.season.practice_now
    assert now is not None
    cultivars = list(book.cultivars.values())
    rows = list(book.rows)
    places = list(book.places)
    made: dict[str, Batch] = {}
    moves: dict[str, Move] = {}
    for number in range(batches):
        cultivar = rng.choice(cultivars)
        feel = rng.choice(FEELS)
        at = (now - timedelta(days=30.0 * rng.random())).replace(microsecond=0)
        batch = Batch(
            id=f"batch-{number:06d}",
            code=f"B-{at:%m%d}-{number}",
            crop=cultivar.crop,
            picked_at=at,
            cultivar_id=cultivar.id,
            row_id=rng.choice(rows),
            count=sum(feel),
            feel_counts=feel,
            pulp_c=rng.uniform(15.0, 28.0),
        )
        made[batch.id] = batch
        stays = [(at, rng.choice(places))]
        if rng.random() < moved:
            later = at + timedelta(hours=rng.uniform(2.0, 300.0))
            stays.append((later, rng.choice(places)))
        for step, (when, place_id) in enumerate(stays):
            move = Move(
                id=f"move-{number:06d}-{step}",
                batch_id=batch.id,
                at=when.replace(microsecond=0),
                place_id=place_id,
            )
            moves[move.id] = move
    # What hangs on the practice farm's own batches goes with them; so do walks, which would tell of
    # rows that these batches were not picked from.
    bare = replace(book, removals={}, brought={}, pins={}, checks={}, treatments={}, walks={})
    return replace(bare, batches=made, moves=moves)

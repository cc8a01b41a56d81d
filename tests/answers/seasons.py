"""The practice season, and random ones in which every crop and every kind of record takes part."""

import random
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from ripenroom.records.batch import Batch, FeelCounts, Move, Outcome, Removal, Treatment
from ripenroom.records.book import Book, Record
from ripenroom.records.check import Check
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import ExpectedPick, SecondGrade, Want
from ripenroom.season.practice import demo_book
from tests.benchmarks.market_seasons import market_book

PRACTICE = "practice"
RANDOM_SEASONS, BATCHES, DAYS = 20, 24, 6

_SOFTER: tuple[FeelCounts, ...] = (
    (14, 6, 0, 0, 0),
    (4, 12, 4, 0, 0),
    (0, 8, 10, 2, 0),
    (0, 2, 8, 8, 2),
)
"""What twenty fruit feel like from one check to the next."""


def seasons(number: int = RANDOM_SEASONS) -> Iterator[tuple[str, Book]]:
    """Each season by its name; the same ones at every run."""
    yield PRACTICE, demo_book()
    for seed in range(number):
        yield f"random {seed}", random_book(seed)


def random_book(seed: int) -> Book:
    """A season of the benchmarks, with other crops, checks and whatever else may happen."""
    rng = random.Random(f"answers {seed}")
    book = market_book(BATCHES, DAYS, seed, demand=rng.choice((0.5, 1.0, 2.0)))
    book = book.with_changes(_of_other_crops(book, rng))
    return book.with_changes(_happened(book, rng)).with_changes(_ahead(book, rng))


def _now(book: Book) -> datetime:
    now = book.season.practice_now
    assert now is not None
    return now


def _of_other_crops(book: Book, rng: random.Random) -> Iterator[Record]:
    """Half of the batches are of any crop, and market days want it."""
    crops = sorted(shipped_profiles())
    used: set[str] = set()
    for batch in book.batches.values():
        if rng.random() < 0.5:
            crop = rng.choice(crops)
            used.add(crop)
            known = shipped_profiles()[crop].judged_by != "nothing"
            feel = rng.choice(_SOFTER[:3]) if known and rng.random() < 0.8 else None
            yield replace(batch, crop=crop, cultivar_id=None, row_id=None, feel_counts=feel)
    for day_id in book.market_days:
        for crop in sorted(used):
            yield Want(
                id=f"{day_id}-{crop}",
                market_day_id=day_id,
                crop=crop,
                count=rng.randint(10, 120),
                price_minor=rng.choice((None, rng.randint(50, 200))),
            )


def _happened(book: Book, rng: random.Random) -> Iterator[Record]:
    """Moves, checks, treatments and removals since the picks; some batches were picked over."""
    now, places = _now(book), sorted(book.places)
    for batch in book.batches.values():

        def at(share: float, batch: Batch = batch) -> datetime:
            since = (now - batch.picked_at) * share
            return (batch.picked_at + since).replace(microsecond=0)

        if rng.random() < 0.4:
            moved_at = at(rng.uniform(0.1, 1.4))
            place_id = rng.choice(places)
            yield Move(id=f"m {batch.id}", batch_id=batch.id, at=moved_at, place_id=place_id)
        if rng.random() < 0.2:
            given = at(rng.random())
            hours = rng.choice((12.0, 24.0, 48.0))
            yield Treatment(id=f"e {batch.id}", batch_id=batch.id, at=given, hours=hours)
        if rng.random() < 0.2:
            outcome: Outcome = rng.choice(("sold", "discarded"))
            yield Removal(
                id=f"r {batch.id}", batch_id=batch.id, at=at(0.9), count=7, outcome=outcome
            )
        yield from _checks(batch, at(0.4), at(0.8), rng)
        if rng.random() < 0.15:
            yield from _picked_over(batch, book, at(0.95))


def _checks(batch: Batch, first: datetime, then: datetime, rng: random.Random) -> Iterator[Record]:
    profile = shipped_profiles()[batch.crop]
    if profile.judged_by == "nothing":
        return
    step = rng.randrange(3)
    for number, at in enumerate((first, then)[: rng.randrange(3)]):
        check = Check(
            id=f"c {batch.id} {number}",
            batch_id=batch.id,
            at=at,
            feel_counts=_SOFTER[min(step + number, 3)],
            counted=rng.random() < 0.9,
        )
        if profile.judged_by == "firmness" and rng.random() < 0.3:
            start_n = rng.uniform(10.0, 60.0)
            check = replace(
                check,
                feel_counts=None,
                readings=tuple(start_n * rng.uniform(0.7, 1.3) for _ in range(6)),
                reading_unit="N",
                probe_mm=8.0,
            )
        yield check


def _picked_over(batch: Batch, book: Book, at: datetime) -> Iterator[Record]:
    """Some of the fruit was ready and went into a batch of its own."""
    if shipped_profiles()[batch.crop].judged_by == "nothing" or batch.count is None:
        return
    check = Check(
        id=f"over {batch.id}",
        batch_id=batch.id,
        at=at,
        feel_counts=(22, 0, 14, 2, 2),
        eat_within_days=1,
        picked_from=min(batch.count, 40),
    )
    taken = replace(
        batch,
        id=f"taken {batch.id}",
        code=f"{batch.code}-t",
        count=14,
        feel_counts=None,
        split_from=batch.id,
        picked_over=check.id,
        taken=True,
    )
    yield check
    yield taken
    yield replace(batch, count=batch.count - 14)
    for move in book.moves.values():
        if move.batch_id == batch.id:
            yield replace(move, id=f"taken {move.id}", batch_id=taken.id)


def _ahead(book: Book, rng: random.Random) -> Iterator[Record]:
    """A pick to come, and someone who takes second grade."""
    crops: Mapping[str, str] = {batch.crop: batch.id for batch in book.batches.values()}
    crop = rng.choice(sorted(crops))
    place = rng.choice(sorted(book.places))
    days = rng.randint(1, 5)
    yield ExpectedPick(
        id="expected",
        crop=crop,
        on=(_now(book) + timedelta(days=days)).date(),
        count=rng.randint(20, 200),
        place_id=place,
    )
    yield SecondGrade(id="second", crop=crop, price_minor=20)

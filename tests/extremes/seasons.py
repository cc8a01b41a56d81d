"""Seasons as large as ``records/counts.py`` allows, each in one way; the same at every run."""

import random
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime, timedelta
from types import MappingProxyType
from typing import Final

from ripenroom.records.batch import Batch, FeelCounts, Move
from ripenroom.records.book import Book, Record
from ripenroom.records.counts import MOST
from ripenroom.records.market import MarketDay, Want
from ripenroom.records.place import Place, PlaceKind, SetPointChange
from tests.season.farm import NOW, season_record

__all__ = ["EXTREMES", "NOW"]

CROPS = ("pawpaw", "peach", "pear", "avocado")
_FEELS: tuple[FeelCounts, ...] = ((30, 0, 0, 0, 0), (0, 24, 0, 0, 0), (0, 20, 9, 1, 0))
_PLACES: tuple[tuple[PlaceKind, float, int], ...] = (
    ("cold room", 3.0, 400),
    ("cold room", 6.0, 200),
    ("cool shelf", 13.0, 300),
    ("ripening room", 20.0, 250),
    ("counter", 22.0, 100),
)
_MOST_BATCHES, _MOST_MOVES = MOST[Batch].season, MOST[Move].season
_MOVES_OF_ONE = MOST[Move].each


def three_moves(often: int = 3) -> Book:
    """As many batches as may be, all on hand, moved three times each (the first ``often`` times)
    before ``NOW``, and a hundred market days ahead."""
    rng = random.Random(1)
    places = [f"place {n}" for n in range(len(_PLACES))]
    records: list[Record] = [*_places(len(_PLACES), 0.0), *_market_days(rng, 100)]
    for number in range(_MOST_BATCHES):
        records += _batch(rng, number, places, often if number == 0 else 3)
    return Book(season_record()).with_changes(records)


def fifty_moves() -> Book:
    """The same with one batch that was moved as often as a batch may be."""
    return three_moves(_MOVES_OF_ONE)


def one_stay(batches: int = 2_000) -> Book:
    """So many batches that stay where they were picked, and 40 market days."""
    rng = random.Random(2)
    places = [f"place {n}" for n in range(len(_PLACES))]
    records: list[Record] = [*_places(len(_PLACES), 0.0), *_market_days(rng, 40)]
    for number in range(batches):
        records += _batch(rng, number, places, 1)
    return Book(season_record()).with_changes(records)


def many_moves(*, past: bool) -> Book:
    """As many moves as may be, of 200 batches among 96 places whose air swings from day to night,
    and a hundred market days: all before ``NOW``, or every second one still ahead."""
    rng = random.Random(3)
    places = [f"place {n}" for n in range(96)]
    records: list[Record] = [*_places(96, 4.0), *_market_days(rng, 100)]
    batches = _MOST_MOVES // _MOVES_OF_ONE
    for number in range(batches):
        records += _batch(rng, number, places, _MOVES_OF_ONE, timedelta(0 if past else 20))
    return Book(season_record()).with_changes(records)


def _places(number: int, swing_k: float) -> Iterator[Record]:
    for n in range(number):
        kind, celsius, holds = _PLACES[n % len(_PLACES)]
        yield Place(
            id=f"place {n}",
            name=f"Place {n}",
            kind=kind,
            half_cooling_h=4.0 + n % 5,
            daily_swing_k=swing_k,
            capacity_crates=holds,
        )
        yield SetPointChange(
            id=f"set {n}",
            place_id=f"place {n}",
            at=NOW - timedelta(days=60),
            set_point_c=celsius + 0.01 * n,
        )


def _batch(
    rng: random.Random,
    number: int,
    places: list[str],
    moves: int,
    ahead: timedelta = timedelta(0),
) -> Iterator[Record]:
    """A batch of the last ten days that is moved so often, until ``NOW`` or so far ``ahead``."""
    at = (NOW - timedelta(hours=rng.uniform(24.0, 240.0))).replace(microsecond=0)
    batch = Batch(
        id=f"batch {number}",
        code=f"B-{number}",
        crop=rng.choice(CROPS),
        picked_at=at,
        count=rng.randint(30, 200),
        feel_counts=rng.choice(_FEELS),
        pulp_c=rng.uniform(15.0, 28.0),
    )
    yield batch
    step = (NOW + ahead - at) / moves
    place = rng.choice(places)
    for n in range(moves):
        moved_at = (at + n * step).replace(microsecond=0)
        yield Move(id=f"move {number} {n}", batch_id=batch.id, at=moved_at, place_id=place)
        place = rng.choice([other for other in places if other != place])


def _market_days(rng: random.Random, number: int) -> Iterator[Record]:
    """So many market days in the 44 days ahead, each of which wants every crop."""
    for n in range(number):
        starts_at: datetime = NOW + timedelta(days=44.0 * (n + 1) / number)
        yield MarketDay(
            id=f"day {n}",
            name=f"Quay {n}",
            kind=("market", "festival", "shop order")[n % 3],
            starts_at=starts_at.replace(microsecond=0),
        )
        for crop in CROPS:
            yield Want(
                id=f"want {n} {crop}",
                market_day_id=f"day {n}",
                crop=crop,
                count=rng.randint(50, 1_000),
                price_minor=rng.randint(50, 300),
            )


EXTREMES: Final[Mapping[str, Callable[[], Book]]] = MappingProxyType(
    {
        "three-moves": three_moves,
        "fifty-moves": fifty_moves,
        "one-stay": one_stay,
        "moves-ahead": lambda: many_moves(past=False),
        "moves-past": lambda: many_moves(past=True),
    }
)
"""Each season by the name that it is asked for by."""

"""The small farm with batches and checks, for tests of what is learned from them."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from ripenroom.records.batch import FeelCounts
from ripenroom.records.book import Book, Record
from ripenroom.records.check import Check
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.learned import Learned
from ripenroom.season.learning.fit import fit
from ripenroom.season.state import SeasonState
from tests.season.farm import NOW, ROOM, SHELF, batch_and_move, book_of, farm_records

ZONE = ZoneInfo("Europe/Lisbon")
CROPS: Mapping[str, CropProfile] = shipped_profiles()
PICKED = NOW - timedelta(days=6)
MOSTLY_SOFT: FeelCounts = (0, 0, 2, 16, 2)
STILL_GIVES: FeelCounts = (0, 4, 14, 2, 0)


def check(number: int, batch: int, days_ago: float, counts: FeelCounts, **given: Any) -> Check:
    """A check of a batch some days before now."""
    facts: dict[str, Any] = {
        "id": f"check {number}",
        "batch_id": f"batch {batch}",
        "at": NOW - timedelta(days=days_ago),
        "feel_counts": counts,
    }
    return Check(**{**facts, **given})


def batches(*, cultivars: Sequence[str | None] = ("early", "early", None)) -> list[Record]:
    """Pawpaws with slight give, picked six days ago: the first on the shelf, others in the room."""
    made: list[Record] = []
    for number, cultivar_id in enumerate(cultivars):
        where = SHELF if number == 0 else ROOM
        batch, move = batch_and_move(number, where, picked_at=PICKED, cultivar_id=cultivar_id)
        made += [batch, move]
    return made


def farm(*records: Record, **given: Any) -> Book:
    """The small farm with three batches and these records."""
    return book_of(*farm_records(), *batches(**given), *records)


def learned(book: Book, now: datetime = NOW, start: Learned | None = None) -> Learned:
    """What its checks taught."""
    return fit(SeasonState(book, CROPS, now, ZONE, start))


FAST = (
    check(1, 1, 4.0, (0, 2, 12, 6, 0)),
    check(2, 1, 3.0, (0, 0, 2, 18, 0)),
    check(3, 0, 1.0, (0, 0, 6, 14, 0)),
)
"""Checks of two batches of the early cultivar: it is faster than the book."""

"""A small farm for the tests of the living season, and how to see that nothing was changed."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from ripenroom.records.batch import Batch, FeelCounts, Move
from ripenroom.records.book import Book, Record
from ripenroom.records.entry import PickEntry
from ripenroom.records.market import ExpectedPick, MarketDay, Want
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.place import Place, SetPointChange
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.season.season import Season

NOW = datetime(2026, 10, 1, 7, 30, tzinfo=UTC)
YESTERDAY = NOW - timedelta(days=1)
SLIGHT_GIVE: FeelCounts = (0, 20, 0, 0, 0)

COLD, SHELF, ROOM, UNUSED = "cold", "shelf", "room", "unused"
SET_POINTS_C = {COLD: 3.0, SHELF: 14.0, ROOM: 20.0, UNUSED: 8.0}


def season_record(**given: Any) -> SeasonDetails:
    """The season's own record; it began on 1 August in Lisbon."""
    facts: dict[str, Any] = {
        "id": "7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f",
        "name": "Test farm",
        "zone": "Europe/Lisbon",
        "first_day": date(2026, 8, 1),
        "units": "metric",
        "currency": "EUR",
    }
    return SeasonDetails(**{**facts, **given})


def farm_records() -> list[Record]:
    """Four places (the last is empty), two cultivars and a row."""
    began = datetime(2026, 7, 31, 23, tzinfo=UTC)
    places: list[Record] = []
    for key, celsius in SET_POINTS_C.items():
        places.append(Place(id=key, name=key.title(), kind="cold room", half_cooling_h=5.0))
        places.append(SetPointChange(id=f"set {key}", place_id=key, at=began, set_point_c=celsius))
    early = Cultivar(id="early", crop="pawpaw", name="Early", group="early")
    pears = Cultivar(id="pears", crop="pear", name="Butter pears")
    row = Row(id="row", name="Creek row", cultivar_id="early", trees=9)
    return [*places, early, pears, row]


def book_of(*records: Record, **facts: Any) -> Book:
    """A book that no file holds."""
    return Book(season_record(**facts)).with_changes(records)


def entry(**given: Any) -> PickEntry:
    """Twenty pawpaws with slight give, picked yesterday into the cold room."""
    facts: dict[str, Any] = {
        "crop": "pawpaw",
        "place_id": COLD,
        "picked_at": YESTERDAY,
        "feel_counts": SLIGHT_GIVE,
    }
    return PickEntry(**{**facts, **given})


def batch_and_move(number: int, place_id: str = COLD, **given: Any) -> tuple[Batch, Move]:
    """A batch as a file holds it, with its first move."""
    facts: dict[str, Any] = {
        "id": f"batch {number}",
        "code": f"P-0930-{number}",
        "crop": "pawpaw",
        "picked_at": YESTERDAY,
        "count": 20,
        "feel_counts": SLIGHT_GIVE,
    }
    batch = Batch(**{**facts, **given})
    move = Move(id=f"move {number}", batch_id=batch.id, at=batch.picked_at, place_id=place_id)
    return batch, move


def nothing_more(crop: str = "pawpaw") -> ExpectedPick:
    """The word that all of a crop is picked: without it a pick makes another one likely."""
    today = NOW.date()
    return ExpectedPick(id=f"no more {crop}", crop=crop, on=today, count=0, place_id=COLD)


def market(days_ahead: float, wants: dict[str, int], **given: Any) -> tuple[MarketDay, list[Want]]:
    """A market some days from now that wants so many fruit of each crop, to eat the same day."""
    facts: dict[str, Any] = {
        "id": f"market {days_ahead}",
        "name": "Quay",
        "kind": "market",
        "starts_at": NOW + timedelta(days=days_ahead),
        "eat_within_days": 0,
    }
    day = MarketDay(**{**facts, **given})
    return day, [
        Want(id=f"{day.id} {crop}", market_day_id=day.id, crop=crop, count=count)
        for crop, count in wants.items()
    ]


def refused(living: Season, act: Callable[[], object]) -> Refusal:
    """The refusal of an action that must change neither book nor file, and tell no one."""
    book, written = living.book, living.path.read_bytes()
    undo, told = living.undo_label, list[str]()
    stop = living.subscribe(lambda _changed: told.append("changed"))
    with pytest.raises(Refusal) as caught:
        act()
    stop()
    assert living.book is book
    assert living.path.read_bytes() == written
    assert (living.undo_label, told) == (undo, [])
    return caught.value

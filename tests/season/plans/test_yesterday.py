"""Yesterday's records: without what was done today."""

from dataclasses import replace
from datetime import datetime, timedelta

from ripenroom.records.batch import Brought, Move, Removal
from ripenroom.records.book import Book, Record
from ripenroom.records.check import Check
from ripenroom.records.place import Place, SetPointChange
from ripenroom.season.plans.update import yesterday_evening, yesterdays_book
from ripenroom.season.practice import demo_book
from tests.season.farm import COLD, NOW, ROOM, batch_and_move, market
from tests.season.plans.planning import (
    CROPS,
    LISBON,
    evening,
    farm_book,
    market_records,
    pin,
    planned,
)

EARLIER = NOW - timedelta(hours=2)


def yesterday(book: Book) -> Book:
    return yesterdays_book(book, NOW, LISBON)


def test_what_was_done_before_today_is_known() -> None:
    book = farm_book(*market_records(3, {"pawpaw": 30}), batches=3)
    assert yesterday(book) == book


def test_what_was_done_today_is_not() -> None:
    day, _ = market(-0.05, {"pawpaw": 30})
    settled = replace(day, settled_at=NOW)
    new = batch_and_move(9, picked_at=EARLIER)
    done: list[Record] = [
        Move(id="moved", batch_id="batch 0", at=EARLIER, place_id=ROOM),
        Removal(id="taken", batch_id="batch 0", at=EARLIER, count=3, outcome="sold"),
        Removal(id="of new", batch_id="batch 9", at=EARLIER, count=3, outcome="sold"),
        Check(id="checked", batch_id="batch 0", at=EARLIER, feel_counts=(0, 5, 0, 0, 0)),
        SetPointChange(id="set", place_id=COLD, at=EARLIER, set_point_c=9.0),
        Brought(id="brought", batch_id="batch 0", market_day_id=day.id, count=9),
        replace(pin(0, 1), packed_at=EARLIER),
        pin(9, 1),
    ]
    book = farm_book(settled, *new, *done, batches=1)
    found = yesterday(book)
    assert set(found.batches) == {"batch 0"}
    assert set(found.moves) == {"move 0"}
    assert (found.removals, found.checks, found.brought) == ({}, {}, {})
    assert "set" not in found.set_points
    assert found.market_days[day.id].settled_at is None
    assert [(p.batch_id, p.packed_at) for p in found.pins.values()] == [("batch 0", None)]


def test_what_lies_ahead_is_taken_as_known() -> None:
    ahead = Move(id="ahead", batch_id="batch 0", at=evening(2), place_id=ROOM)
    assert "ahead" in yesterday(farm_book(ahead, batches=1)).moves


def test_a_place_that_was_set_up_today_keeps_its_set_point() -> None:
    new = Place(id="new", name="New", kind="cold room", half_cooling_h=5.0)
    change = SetPointChange(id="first", place_id="new", at=EARLIER, set_point_c=4.0)
    assert "first" in yesterday(farm_book(new, change)).set_points


def test_it_ends_with_the_local_day_also_after_a_clock_change() -> None:
    now = datetime(2026, 10, 26, 7, 0, tzinfo=LISBON)
    assert yesterday_evening(now, LISBON).isoformat() == "2026-10-25T18:00:00+00:00"
    late = datetime(2026, 10, 25, 23, 59, tzinfo=LISBON)
    early = datetime(2026, 10, 26, 0, 1, tzinfo=LISBON)
    moves = [
        Move(id=at.isoformat(), batch_id="batch 0", at=at, place_id=ROOM) for at in (late, early)
    ]
    found = yesterdays_book(farm_book(*moves, batches=1), now, LISBON)
    assert set(found.moves) == {"move 0", late.isoformat()}


def test_yesterdays_plan_can_be_made_on_the_practice_farm() -> None:
    book = demo_book()
    now = book.season.practice_now
    assert now is not None
    known = yesterdays_book(book, now, LISBON)
    plan = planned(known, yesterday_evening(now, LISBON))
    assert plan.made_at == yesterday_evening(now, LISBON)
    assert plan.lines
    assert set(CROPS) >= {batch.crop for batch in known.batches.values()}

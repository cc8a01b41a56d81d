"""From records to a problem: wants, prices, evenings, crates and room."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.planning.problem import NO_WANT
from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book, Record
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import Pin
from ripenroom.records.place import Place
from ripenroom.season.moments import from_hours, to_hours
from ripenroom.season.plans.demand import UNPRICED_MINOR
from ripenroom.season.plans.input import PlanningInput
from ripenroom.season.plans.pinned_itineraries import ground
from ripenroom.season.projection import FruitState
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    batch_and_move,
    book_of,
    farm_records,
    market,
    nothing_more,
)

LISBON = ZoneInfo("Europe/Lisbon")


def laid(*records: Record, now: datetime = NOW) -> PlanningInput:
    book: Book = book_of(*farm_records(), nothing_more(), *records)
    return ground(SeasonState(book, shipped_profiles(), now, LISBON))


def market_of(days_ahead: float, prices: dict[str, int | None]) -> list[Record]:
    day, wants = market(days_ahead, dict.fromkeys(prices, 30))
    return [day, *(replace(want, price_minor=prices[want.crop]) for want in wants)]


def test_wants_come_in_the_order_of_their_days() -> None:
    found = laid(*market_of(9, {"pear": 50, "pawpaw": 150}), *market_of(2, {"pawpaw": 120}))
    assert found.problem.wants.price.tolist() == [120.0, 150.0, 50.0]
    assert found.day_of_want.tolist() == [0, 1, 1]
    assert found.problem.wants.start_h[0] == to_hours(NOW + timedelta(days=2))


@pytest.mark.parametrize(
    ("named", "taken"),
    [
        ({"pawpaw": 120, "pear": 60}, (120.0, 60.0)),
        ({"pawpaw": 120, "pear": None}, (120.0, 120.0)),
        ({"pawpaw": None, "pear": None}, (UNPRICED_MINOR, UNPRICED_MINOR)),
        ({"pawpaw": 0, "pear": None}, (0.0, 0.0)),
    ],
)
def test_a_price_that_is_not_named(
    named: dict[str, int | None], taken: tuple[float, float]
) -> None:
    assert tuple(laid(*market_of(3, named)).problem.wants.price) == taken


def test_a_crops_own_price_is_asked_first() -> None:
    found = laid(*market_of(3, {"pawpaw": 120, "pear": 60}), *market_of(5, {"pear": None}))
    assert found.problem.wants.price.tolist() == [120.0, 60.0, 60.0]


def test_moves_are_made_in_the_evening_also_across_a_clock_change() -> None:
    now = datetime(2026, 10, 23, 19, tzinfo=UTC)
    day, wants = market(0, {"pawpaw": 30})
    found = laid(replace(day, starts_at=datetime(2026, 10, 27, 9, tzinfo=UTC)), *wants, now=now)
    evenings = [from_hours(hour, LISBON) for hour in found.evening_h]
    assert [(e.day, e.hour) for e in evenings] == [(24, 18), (25, 18), (26, 18)]
    assert np.diff(found.evening_h).tolist() == [25.0, 24.0]


def test_fruit_is_counted_in_crates() -> None:
    usual = shipped_profiles()["pawpaw"].fruit_per_crate.value
    counts = (1, int(usual), int(usual) + 1, int(usual) * 7)
    batches = [r for n, count in enumerate(counts) for r in batch_and_move(n, count=count)]
    problem = laid(*batches).problem
    assert problem.crates.tolist() == [1, 1, 2, 7]
    assert problem.crates * problem.fruit_per_crate == pytest.approx(counts)


def test_a_usual_crate_is_a_full_one_however_many_are_nearly_empty() -> None:
    """Else moves would have to bring less, the more rests stand about."""
    full, day = batch_and_move(0, count=100), market_of(5, {"pawpaw": 150})
    rests = [r for n in range(1, 7) for r in batch_and_move(n, count=2)]
    alone, among = laid(*full, *day).problem, laid(*full, *rests, *day).problem
    assert alone.hurdle > 0.0
    assert among.hurdle == pytest.approx(alone.hurdle, rel=0.05)


def test_room_is_what_a_place_holds_even_if_more_stands_in_it() -> None:
    batches = [r for n in range(3) for r in batch_and_move(n, COLD, count=200)]
    places = [
        Place(id=key, name=key, kind="cold room", half_cooling_h=5.0, capacity_crates=holds)
        for key, holds in ((COLD, 1), (ROOM, 6))
    ]
    found = laid(*batches, *places, *market_of(3, {"pawpaw": 100}))
    room = dict(zip(found.lines.place_ids, found.problem.room.tolist(), strict=True))
    stands = int(found.problem.crates.sum())
    assert stands > 1
    assert room[COLD] == [1.0] * 3
    assert found.problem.standing()[found.lines.place_ids.index(COLD)].tolist() == [stands] * 3
    assert room[ROOM] == [6.0] * 3
    assert room["shelf"] == [np.inf] * 3


def held(found: PlanningInput, place_id: str) -> list[float]:
    """Crates that stand in a place on each evening if everything is left where it is."""
    load = found.problem.load(found.problem.as_they_stand)
    return [float(crates) for crates in load[found.lines.place_ids.index(place_id)]]


def test_fruit_that_wont_ripen_holds_its_room_though_the_few_that_do_are_past() -> None:
    hard = {"feel_counts": (20, 0, 0, 0, 0), "count": 20}
    projector, wanted = Projector(shipped_profiles(), LISBON), market_of(9, {"pawpaw": 120})
    evening_h = laid(*batch_and_move(0, ROOM, **hard), *wanted).evening_h[0]
    for hours in range(100, 300, 4):
        hopeless = batch_and_move(0, ROOM, picked_at=NOW - timedelta(hours=hours), **hard)
        outlook = projector.outlook(book_of(*farm_records(), *hopeless), NOW)
        (closes_h,) = outlook.eat_by.closes.mid
        if to_hours(NOW) < closes_h < evening_h:
            break
    assert to_hours(NOW) < closes_h < evening_h
    assert projector.projection(outlook, NOW).state == FruitState.WONT_RIPEN
    found = laid(*hopeless, *wanted)
    assert found.closes_h.tolist() == [np.inf]
    assert held(found, ROOM) == [1.0] * found.evening_h.size


@cache
def past_by_evening(place_id: str) -> tuple[Batch, Move]:
    """A crate that is past this evening and not yet."""
    for hours in range(1, 400, 6):
        batch, move = batch_and_move(
            0,
            place_id,
            feel_counts=(0, 0, 0, 20, 0),
            count=20,
            picked_at=NOW - timedelta(hours=hours),
        )
        closes_h = laid(batch, move, *market_of(9, {"pawpaw": 120})).closes_h[0]
        if to_hours(NOW) < closes_h < to_hours(NOW) + 8.0:
            return batch, move
    raise AssertionError("no such crate")


def test_past_fruit_holds_its_room_until_it_is_moved_as_is_written_down_and_a_day_more() -> None:
    batch, move = past_by_evening(ROOM)
    wanted = market_of(9, {"pawpaw": 120})
    assert not any(held(laid(batch, move, *wanted), ROOM))
    evening_h = laid(batch, move, *wanted).evening_h
    moved_at = from_hours(float(evening_h[2]), LISBON)
    away = Move(id="away", batch_id=batch.id, at=moved_at, place_id=SHELF)
    found = laid(batch, move, away, *wanted)
    assert held(found, ROOM)[:4] == [1.0, 1.0, 0.0, 0.0]
    assert held(found, SHELF)[:4] == [0.0, 0.0, 1.0, 0.0]


def test_past_fruit_holds_the_room_to_which_it_is_pinned_for_a_day() -> None:
    batch, move = past_by_evening(ROOM)
    wanted = market_of(9, {"pawpaw": 120})
    tonight = from_hours(float(laid(batch, move, *wanted).evening_h[0]), LISBON)
    pinned = Pin(id="pin", batch_id=batch.id, crates=1, pull_at=tonight, place_id=SHELF)
    found = laid(batch, move, pinned, *wanted)
    assert held(found, SHELF)[:2] == [1.0, 0.0]


def test_no_fruit_is_moved_to_a_field_bin() -> None:
    bins = Place(id="bins", name="Bins", kind="field bin", half_cooling_h=5.0)
    found = laid(*batch_and_move(1, COLD), bins, *market_of(8, {"pawpaw": 100}))
    ways = found.problem.ways
    moved = {found.lines.place_ids[n] for n in ways.place[ways.pull >= 0]}
    assert ROOM in moved
    assert "bins" not in moved


def test_batches_are_in_the_order_of_their_ids() -> None:
    batches = [r for n in (3, 1, 2) for r in batch_and_move(n, (COLD, ROOM)[n % 2])]
    found = laid(*batches)
    assert found.lines.ids == ("batch 1", "batch 2", "batch 3")
    assert (found.problem.ways.want == NO_WANT).all()
    assert found.prospects is None

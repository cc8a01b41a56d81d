"""Pins are facts: the plan follows them, says which are broken, and plans around them."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.batch import Move
from ripenroom.records.market import Pin
from ripenroom.records.place import Place
from ripenroom.season.plans.plan import BrokenPinReason, Plan, PlannedItinerary
from tests.draws import draws
from tests.season.farm import COLD, NOW, ROOM, SHELF, UNUSED
from tests.season.plans.planning import (
    crates_of,
    evening,
    farm_book,
    faults,
    market_records,
    pin,
    planned,
)

WANTED = market_records(6, {"pawpaw": 120})
DAY = WANTED[0].id
LATER = market_records(9, {"pawpaw": 60})


def followed(plan: Plan, wanted: Pin) -> PlannedItinerary:
    """The one line that follows a pin."""
    (line,) = [line for line in plan.lines if line.pin_id == wanted.id]
    return line


def test_pinned_crates_go_exactly_so() -> None:
    wanted = pin(0, 2, pull_at=evening(1), place_id=ROOM, market_day_id=DAY)
    book = farm_book(*WANTED, wanted, batches=2)
    plan = planned(book)
    line = followed(plan, wanted)
    assert (line.crates, line.pull_at, line.to_place_id) == (2, evening(1), ROOM)
    assert (line.market_day_id, line.packed, line.from_place_id) == (DAY, False, COLD)
    assert line.fruit == pytest.approx(40.0)
    assert 0.0 < line.expected_ready_share < 1.0
    assert plan.broken_pins == ()
    assert crates_of(plan) == {"batch 0": 3, "batch 1": 3}
    assert faults(book, plan) == []


@pytest.mark.parametrize(
    "way",
    [
        {"market_day_id": DAY},
        {},
        {"pull_at": evening(0), "place_id": UNUSED},
        {"pull_at": NOW + timedelta(hours=40.5), "place_id": SHELF, "market_day_id": DAY},
        {"pull_at": NOW + timedelta(days=5.9), "place_id": ROOM, "market_day_id": DAY},
        {"market_day_id": DAY, "packed_at": NOW - timedelta(hours=1)},
    ],
    ids=["as it stands", "kept", "moved and kept", "at odd hours", "too late to ripen", "packed"],
)
def test_any_way_can_be_pinned_even_a_foolish_one(way: dict[str, Any]) -> None:
    wanted = pin(1, 1, **way)
    plan = planned(farm_book(*WANTED, wanted, batches=2))
    line = followed(plan, wanted)
    assert line.crates == 1
    assert line.pull_at == way.get("pull_at")
    assert line.market_day_id == way.get("market_day_id")
    assert line.to_place_id == way.get("place_id", COLD)
    assert line.packed == ("packed_at" in way)
    assert plan.broken_pins == ()


def test_a_market_that_wants_no_such_crop_can_be_pinned_to() -> None:
    pears = market_records(4, {"pear": 30})
    wanted = pin(0, 1, market_day_id=pears[0].id)
    far = market_records(80, {"pawpaw": 30})
    other = pin(1, 1, market_day_id=far[0].id)
    plan = planned(farm_book(*pears, *far, *WANTED, wanted, other, batches=2))
    assert followed(plan, wanted).expected_value_minor == 0.0
    assert followed(plan, wanted).expected_ready_share > 0.0
    assert followed(plan, other).market_day_id == far[0].id
    brought = {(m.market_day_id, m.crop): m for m in plan.markets}
    assert brought[pears[0].id, "pawpaw"].wanted == 0
    assert brought[pears[0].id, "pawpaw"].planned == pytest.approx(20.0)


def test_a_full_place_makes_room_for_what_is_pinned_there() -> None:
    small = Place(id=ROOM, name="Room", kind="ripening room", half_cooling_h=5.0, capacity_crates=2)
    wanted = pin(0, 3, pull_at=evening(0), place_id=ROOM, market_day_id=DAY)
    plan = planned(farm_book(small, *WANTED, wanted, batches=3))
    assert followed(plan, wanted).crates == 3
    there = [s for line in plan.lines if not line.pin_id for s in line.steps if s.place_id == ROOM]
    assert there == []


BROKEN = [
    ({"batch_id": "nobody"}, BrokenPinReason.BATCH_GONE),
    ({"crates": 4}, BrokenPinReason.FEWER_CRATES),
    ({"crates": 0}, BrokenPinReason.FEWER_CRATES),
    ({"market_day_id": "nowhere"}, BrokenPinReason.MARKET_OVER),
    ({"market_day_id": "market -1"}, BrokenPinReason.MARKET_OVER),
    ({"pull_at": evening(0), "place_id": "gone"}, BrokenPinReason.PLACE_GONE),
    ({"pull_at": NOW - timedelta(hours=1), "place_id": ROOM}, BrokenPinReason.PULL_OVER),
    (
        {"pull_at": evening(7), "place_id": ROOM, "market_day_id": DAY},
        BrokenPinReason.PULL_AFTER_MARKET,
    ),
    ({"batch_id": "batch 1", "pull_at": evening(1), "place_id": ROOM}, BrokenPinReason.MOVED_LATER),
]


@pytest.mark.parametrize(("way", "reason"), BROKEN, ids=[reason for _, reason in BROKEN])
def test_a_pin_that_cannot_be_is_listed_and_left_out(
    way: dict[str, Any], reason: BrokenPinReason
) -> None:
    wanted = replace(pin(0, 1), **way)
    move = Move(id="ahead", batch_id="batch 1", at=evening(2), place_id=SHELF)
    over = market_records(-1, {"pawpaw": 30})
    book = farm_book(*WANTED, *over, move, batches=2)
    plan = planned(book.with_changes([wanted]))
    assert [(b.pin_id, b.reason) for b in plan.broken_pins] == [(wanted.id, reason)]
    assert replace(plan, broken_pins=()) == planned(book)


def test_of_too_many_pins_those_that_are_packed_count_first() -> None:
    packed = replace(pin(0, 2, market_day_id=DAY, packed_at=NOW), id="z")
    wanted = replace(pin(0, 2, market_day_id=DAY), id="a")
    plan = planned(farm_book(*WANTED, packed, wanted, batches=1))
    assert followed(plan, packed).crates == 2
    assert [b.pin_id for b in plan.broken_pins] == ["a"]


def test_a_pin_after_a_move_that_is_written_down() -> None:
    move = Move(id="ahead", batch_id="batch 0", at=evening(1), place_id=SHELF)
    wanted = pin(0, 1, pull_at=evening(3), place_id=ROOM, market_day_id=DAY)
    line = followed(planned(farm_book(*WANTED, move, wanted, batches=1)), wanted)
    assert [(s.at, s.place_id) for s in line.steps] == [(evening(1), SHELF), (evening(3), ROOM)]


WAYS = st.fixed_dictionaries(
    {
        "crates": st.integers(1, 3),
        "pull": st.none() | st.tuples(st.integers(0, 8), st.sampled_from([SHELF, ROOM, UNUSED])),
        "market_day_id": st.sampled_from([None, DAY, LATER[0].id]),
    }
)


@draws(25)
@given(st.lists(WAYS, min_size=1, max_size=4), st.integers(1, 12))
def test_what_is_pinned_stays_pinned(ways: list[dict[str, Any]], capacity: int) -> None:
    room = Place(
        id=ROOM, name="Room", kind="ripening room", half_cooling_h=5.0, capacity_crates=capacity
    )
    pins = [
        pin(
            n,
            way["crates"],
            market_day_id=way["market_day_id"],
            pull_at=evening(way["pull"][0]) if way["pull"] else None,
            place_id=way["pull"][1] if way["pull"] else None,
        )
        for n, way in enumerate(ways)
    ]
    book = farm_book(room, *WANTED, *LATER, *pins, batches=4)
    plan = planned(book)
    broken = {b.pin_id for b in plan.broken_pins}
    for wanted in pins:
        if wanted.id not in broken:
            line = followed(plan, wanted)
            assert line.crates == wanted.crates
            assert (line.pull_at, line.market_day_id) == (wanted.pull_at, wanted.market_day_id)
            assert line.to_place_id == (wanted.place_id or COLD)
    assert crates_of(plan) == {f"batch {n}": 3 for n in range(4)}
    assert faults(book, plan) == []

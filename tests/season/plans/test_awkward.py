"""Books with too little, too much or something odd in them: a sensible plan, never an error."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.batch import Move, Removal
from ripenroom.records.book import Book, Record
from ripenroom.records.place import Place
from ripenroom.season.plans.plan import Plan
from tests.draws import draws, one_in
from tests.season.farm import COLD, NOW, ROOM, SHELF, UNUSED, batch_and_move, market
from tests.season.plans.planning import (
    CROPS,
    LISBON,
    crates_of,
    evening,
    expected,
    farm_book,
    faults,
    market_records,
    pin,
    planned,
    second_grade,
)

WANTED = market_records(6, {"pawpaw": 60, "pear": 30})


def sound(book: Book, now: datetime = NOW) -> Plan:
    plan = planned(book, now)
    assert faults(book, plan, now) == []
    return plan


def test_an_empty_season() -> None:
    plan = sound(Book(farm_book().season))
    assert (plan.lines, plan.markets, plan.gap) == ((), (), 0.0)
    assert plan.made_at == NOW


def test_no_batches_but_markets_tells_what_is_missing() -> None:
    plan = sound(farm_book(*WANTED))
    assert [(m.crop, m.wanted, m.planned, m.shortage, m.risk) for m in plan.markets] == [
        ("pawpaw", 60, 0.0, 60.0, 1.0),
        ("pear", 30, 0.0, 30.0, 1.0),
    ]


def test_a_market_that_wants_nothing_yet() -> None:
    plan = sound(farm_book(*market_records(3, {"pawpaw": 0}), batches=2))
    assert plan.markets == ()
    assert crates_of(plan) == {"batch 0": 3, "batch 1": 3}


def test_a_batch_of_no_fruit_and_one_that_is_used_up() -> None:
    none = batch_and_move(5, count=0)
    gone = Removal(id="r", batch_id="batch 0", at=NOW, count=60, outcome="discarded")
    plan = sound(farm_book(*WANTED, *none, gone, batches=2))
    assert crates_of(plan) == {"batch 1": 3}


def test_weighed_batches() -> None:
    weighed = batch_and_move(5, count=None, weight_kg=9.3)
    plan = sound(farm_book(*WANTED, *weighed))
    fruit = 9.3 / (CROPS["pawpaw"].fruit_mass_g.value / 1000.0)
    assert sum(line.fruit for line in plan.lines) == pytest.approx(fruit)


@pytest.mark.parametrize("crop", one_in(4, sorted(CROPS)))
def test_every_crop_can_be_planned_for_also_those_with_dates_only(crop: str) -> None:
    felt = CROPS[crop].judged_by != "nothing"
    batch = batch_and_move(5, crop=crop, feel_counts=(0, 20, 0, 0, 0) if felt else None)
    pick = expected(1, crop=crop)
    days = [r for n in (3, 9, 20) for r in market_records(n, {crop: 30})]
    plan = sound(farm_book(*days, *batch, pick, second_grade(crop=crop)))
    assert set(crates_of(plan)) <= {"batch 5", "pick 1"}
    assert len(plan.markets) == 3


def test_a_batch_of_an_unknown_crop_or_without_a_place_is_left_out() -> None:
    stranger = batch_and_move(5, crop="medlar")
    lost = batch_and_move(6)[0]
    plan = sound(farm_book(*WANTED, *stranger, lost, batches=1))
    assert crates_of(plan) == {"batch 0": 3}


def test_a_season_over_the_end_of_summer_time() -> None:
    now = datetime(2026, 10, 24, 12, tzinfo=UTC)
    day, wants = market(8, {"pawpaw": 60})
    day = replace(day, starts_at=now + timedelta(days=8))
    batch, first = batch_and_move(5, picked_at=now - timedelta(hours=30), count=60)
    plan = sound(farm_book(day, *wants, batch, first), now)
    assert plan.outcome.value.mean > 0.0
    for line in plan.lines:
        assert all(step.at.astimezone(LISBON).hour == 18 for step in line.steps)


def test_all_places_are_full_and_more_is_to_come() -> None:
    full: list[Record] = [
        Place(id=key, name=key, kind="cold room", half_cooling_h=5.0, capacity_crates=1)
        for key in (COLD, SHELF, ROOM, UNUSED)
    ]
    plan = sound(farm_book(*full, *WANTED, expected(1), batches=3))
    assert sum(crates_of(plan).values()) == 11


def test_warm_fresh_fruit_is_put_in_the_cold_and_pulled_in_time() -> None:
    book = farm_book(*market_records(12, {"pawpaw": 60}), batches=1, place=ROOM)
    plan = sound(book)
    (line,) = [line for line in plan.lines if line.market_day_id]
    assert [step.place_id for step in line.steps] == [COLD, line.to_place_id]
    assert line.steps[0].at == evening(0)
    assert line.next_step().to_place_id == COLD
    assert line.next_step().pull_at == evening(0)
    # Made in two days' time, the rest of that plan still holds.
    moved = book.with_changes(
        [Move(id="m", batch_id="batch 0", at=line.steps[0].at, place_id=COLD)]
    )
    (then,) = [x for x in planned(moved, evening(1)).lines if x.market_day_id]
    assert then.expected_ready_share == pytest.approx(line.expected_ready_share, abs=0.08)


BATCHES = st.lists(
    st.tuples(
        st.sampled_from([COLD, SHELF, ROOM, UNUSED]),
        st.integers(0, 90),
        st.integers(0, 4),
        st.sampled_from(["pawpaw", "pear", "kiwifruit"]),
        st.integers(0, 10),
    ),
    max_size=5,
)
MARKETS = st.lists(st.tuples(st.integers(0, 15), st.integers(0, 200)), max_size=4)


@pytest.mark.long
@draws(40)
@given(
    BATCHES, MARKETS, st.booleans(), st.none() | st.integers(0, 5), st.none() | st.integers(0, 6)
)
def test_any_book_gives_a_sound_plan_and_the_same_one_again(
    batches: list[tuple[str, int, int, str, int]],
    markets: list[tuple[int, int]],
    second: bool,
    hands: int | None,
    holds: int | None,
) -> None:
    records: list[Record] = [
        Place(id=ROOM, name="Room", kind="ripening room", half_cooling_h=5.0, capacity_crates=holds)
    ]
    for n, (place, count, feel, crop, days) in enumerate(batches):
        counts = tuple(20 if f == feel else 0 for f in range(5))
        at = NOW - timedelta(days=days, hours=1)
        records += batch_and_move(
            n, place, count=count, feel_counts=counts, crop=crop, picked_at=at
        )
    for n, wanted in markets:
        records += market_records(n + 0.5, {"pawpaw": wanted, "pear": 20, "kiwifruit": 5})
    if second:
        records += [second_grade(per_day=15), expected(2), pin(0, 1), pin(1, 2, packed_at=NOW)]
    book = farm_book(*records, crates_moved_per_evening=hands)
    plan = sound(book)
    fruit = {f"batch {n}": count for n, (_, count, *_rest) in enumerate(batches) if count}
    of_lines: dict[str, float] = {}
    for line in plan.lines:
        if line.batch_id:
            of_lines[line.batch_id] = of_lines.get(line.batch_id, 0.0) + line.fruit
    assert of_lines == pytest.approx(fruit)
    if hands is not None:
        for n in range(16):
            moved = [x for x in plan.lines for s in x.steps if s.at == evening(n)]
            assert sum(line.crates for line in moved) <= hands
    assert planned(book) == plan

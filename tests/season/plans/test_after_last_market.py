"""Fruit that no market day in sight takes is kept, if it keeps, and told apart from what sells."""

from datetime import timedelta

import numpy as np
import pytest

from ripenroom.records.batch import FeelCounts
from ripenroom.records.book import Book, Record
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.after_last_market import KEEPS_SHARE, SPOILS_SHARE, Later, keeps
from ripenroom.season.plans.demand import days_in_sight
from ripenroom.season.plans.input import unpinned
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.plans.planner import Planner
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.farm import COLD, NOW, ROOM, batch_and_move
from tests.season.plans.planning import (
    CROPS,
    LISBON,
    evening,
    farm_book,
    faults,
    market_records,
    pin,
    planned,
)

FIRM: FeelCounts = (0, 20, 0, 0, 0)
RIPE: FeelCounts = (0, 0, 20, 0, 0)


def stock(*records: Record, firm: int = 3, ripe: int = 2) -> Book:
    """Firm and riper pawpaws in the cold, three crates in each batch."""
    made = [
        record
        for n in range(firm + ripe)
        for record in batch_and_move(n, COLD, count=60, feel_counts=FIRM if n < firm else RIPE)
    ]
    return farm_book(*records, *made)


def kept(plan: Plan) -> list[PlannedItinerary]:
    return [line for line in plan.lines if line.kept]


def test_the_cold_room_is_not_emptied_for_the_only_market_day_in_sight() -> None:
    book = stock(*market_records(3, {"pawpaw": 60}))
    plan = planned(book)
    assert faults(book, plan) == []
    # Ripe fruit that is wanted is sold; firm fruit, which gets firmly ready by then, stays cold.
    assert {line.batch_id for line in plan.lines if line.market_day_id} <= {"batch 3", "batch 4"}
    assert plan.outcome.sold.mean > 30.0
    firm = [line for line in plan.lines if line.batch_id in {"batch 0", "batch 1", "batch 2"}]
    assert all(line.kept and not line.steps for line in firm)
    assert sum(line.crates for line in firm) == 9


def test_what_is_kept_is_told_apart_and_is_no_money() -> None:
    plan = planned(stock(*market_records(3, {"pawpaw": 60}), firm=4))
    fruit = sum(line.fruit * line.expected_ready_share for line in kept(plan))
    assert plan.outcome.kept == pytest.approx(fruit)
    assert fruit > 60.0
    assert all(line.expected_value_minor == 0.0 for line in kept(plan))
    paid = sum(line.expected_value_minor for line in plan.lines)
    assert plan.outcome.value.mean == pytest.approx(paid)
    # What is kept counts for the simple rules alike.
    assert plan.as_it_is.kept > 60.0
    assert plan.first_in_first_out.kept > 0.0


def test_fruit_that_is_ready_and_wanted_is_sold_now_and_not_kept() -> None:
    soft = batch_and_move(0, ROOM, count=120, feel_counts=(0, 0, 5, 15, 0))
    plan = planned(farm_book(*soft, *market_records(1, {"pawpaw": 400})))
    assert not kept(plan)
    assert sum(line.crates for line in plan.lines if line.market_day_id) == 5


def test_without_a_market_day_all_that_keeps_is_kept() -> None:
    plan = planned(stock(ripe=0))
    assert sum(line.crates for line in kept(plan)) == 9
    assert plan.outcome.value.mean == 0.0
    assert plan.markets == ()


def test_fruit_that_will_be_past_is_not_kept() -> None:
    soft = batch_and_move(0, ROOM, count=60, feel_counts=(0, 0, 0, 10, 10))
    plan = planned(farm_book(*soft, *market_records(8, {"pawpaw": 60})))
    assert not kept(plan)
    assert plan.outcome.kept == 0.0


def test_warm_fruit_that_no_market_takes_is_put_in_the_cold() -> None:
    wanted = market_records(6, {"pawpaw": 20})
    picked_at = NOW - timedelta(hours=3)
    warm = [
        record
        for n in range(3)
        for record in batch_and_move(n, ROOM, count=60, feel_counts=RIPE, picked_at=picked_at)
    ]
    plan = planned(farm_book(*wanted, *warm))
    moved = [line for line in kept(plan) if line.steps]
    assert moved
    assert {line.to_place_id for line in moved} == {COLD}
    assert {step.at for line in moved for step in line.steps} == {evening(0)}


def test_pinning_what_is_kept_costs_nothing() -> None:
    book = stock(*market_records(3, {"pawpaw": 60}))
    asked = Planner(SeasonState(book, CROPS, NOW, LISBON))
    asked.plan()
    assert asked.cost_of([pin(0, 3)]).cost_minor == 0.0
    pinned = planned(book.with_changes([pin(0, 3)]))
    assert pinned.outcome.kept == pytest.approx(asked.plan().outcome.kept, rel=0.01)


@pytest.mark.long
def test_with_many_market_days_ahead_as_much_is_sold_as_if_nothing_were_kept(
    practice: Season, monkeypatch: pytest.MonkeyPatch
) -> None:
    sold = Planner(practice.state).plan().outcome.sold.mean
    monkeypatch.setattr("ripenroom.season.plans.problem_maker.LATER_PRICE", 0.0)
    assert sold >= Planner(practice.state).plan().outcome.sold.mean - 0.5


def test_days_in_sight_are_those_ahead_that_want_something() -> None:
    near, far = market_records(3, {"pawpaw": 60}), market_records(9, {"pawpaw": 0})
    book = stock(*near, *far)
    assert [day.id for day in days_in_sight(book, NOW)] == ["market 3"]
    assert days_in_sight(book, NOW + timedelta(days=4)) == ()


def test_what_counts_of_kept_fruit_never_jumps() -> None:
    share = np.linspace(0.0, 1.0, 2_001)
    counts = keeps(share)
    assert (np.diff(counts) >= 0.0).all()
    # No step of 0.0005 of the share moves what counts by more than three times as much.
    assert np.diff(counts).max() < 3.1 * 0.0005
    np.testing.assert_array_equal(counts[share >= KEEPS_SHARE], share[share >= KEEPS_SHARE])
    assert not counts[share <= SPOILS_SHARE].any()


def test_a_little_more_waiting_makes_fruit_count_a_little_less() -> None:
    """Ripening fruit, looked at from one hour later each time: from all that keeps to nothing."""
    book = stock(*market_records(1, {"pawpaw": 60}), firm=0, ripe=1)
    laid = unpinned(SeasonState(book, CROPS, NOW, LISBON))
    room = np.array([laid.lines.place_ids.index(ROOM)])
    tonight_h, batch = np.array([to_hours(evening(0))]), np.zeros(1, np.intp)
    counted = np.array(
        [
            Later(
                laid.foresight, laid.lines.stays, batch[:0], np.zeros(0), to_hours(NOW) + end_h
            ).shares(batch, tonight_h, room)[0]
            for end_h in range(0, 24 * 6, 3)
        ]
    )
    assert counted.max() > KEEPS_SHARE
    assert counted.min() == 0.0
    assert ((counted > 0.0) & (counted < SPOILS_SHARE)).any()
    assert np.abs(np.diff(counted)).max() < 0.12

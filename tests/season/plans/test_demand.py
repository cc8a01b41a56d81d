"""What fruit can be sold for: second grade beside market days, and hands that move it."""

from datetime import timedelta
from typing import Any

import pytest

from ripenroom.records.batch import Removal
from ripenroom.records.book import Record
from tests.season.farm import COLD, NOW, ROOM, batch_and_move
from tests.season.plans.planning import (
    evening,
    farm_book,
    faults,
    market_records,
    moved_on,
    planned,
    second_grade,
)

RIPE = (0, 0, 0, 20, 0)


def ripe(number: int, **given: Any) -> list[Record]:
    return list(batch_and_move(number, ROOM, **{"feel_counts": RIPE, "count": 60, **given}))


def test_what_no_market_takes_goes_for_second_grade() -> None:
    book = farm_book(*market_records(1, {"pawpaw": 10}), *ripe(0), second_grade())
    plan = planned(book)
    second = [line for line in plan.lines if line.second_grade]
    assert sum(line.crates for line in second) == 2
    for line in second:
        assert line.pull_at is not None
        assert line.pull_at.hour == 18
        assert (line.market_day_id, line.to_place_id, line.steps) == (None, None, ())
        worth = 30.0 * line.fruit * line.expected_ready_share
        # A mean over sampled truths of one batch: good to a few percent.
        assert line.expected_value_minor == pytest.approx(worth, rel=0.05)
    assert faults(book, plan) == []


def test_a_market_that_pays_more_comes_first() -> None:
    wanted = market_records(1, {"pawpaw": 200}, price=100)
    plan = planned(farm_book(*wanted, *ripe(0), second_grade(30)))
    assert not any(line.second_grade for line in plan.lines)
    plan = planned(farm_book(*wanted, *ripe(0), second_grade(300)))
    assert all(line.second_grade for line in plan.lines)


def test_second_grade_needs_no_market_day() -> None:
    plan = planned(farm_book(*ripe(0), second_grade()))
    assert [(line.second_grade, line.crates) for line in plan.lines] == [(True, 3)]
    assert plan.outcome.sold.mean == 0.0  # not in its window, not to a market
    assert plan.outcome.value.mean > 0.0
    assert plan.markets == ()


def test_it_takes_only_so_many_a_day_less_what_it_has_had() -> None:
    batches = [record for n in range(3) for record in ripe(n)]
    plan = planned(farm_book(*batches, second_grade(per_day=40)))
    by_day: dict[object, float] = {}
    for line in plan.lines:
        if line.second_grade:
            by_day[line.pull_at] = by_day.get(line.pull_at, 0.0) + line.expected_value_minor
    assert len(by_day) >= 3
    assert max(by_day.values()) <= 30.0 * 40.0 + 1e-6
    had = Removal(
        id="had",
        batch_id="batch 0",
        at=NOW - timedelta(hours=1),
        count=40,
        outcome="sold",
        grade="second",
    )
    then = planned(farm_book(*batches, second_grade(per_day=40), had))
    assert evening(0) in by_day
    assert evening(0) not in {line.pull_at for line in then.lines if line.second_grade}


def test_unripe_fruit_and_other_crops_are_not_taken() -> None:
    hard = batch_and_move(0, COLD, feel_counts=(20, 0, 0, 0, 0), crop="pear")
    plan = planned(farm_book(*hard, second_grade(), second_grade(crop="pear")))
    assert not any(line.second_grade for line in plan.lines)
    assert not planned(farm_book(*ripe(0), second_grade(per_day=0))).outcome.value.mean


@pytest.mark.parametrize("crates", [0, 1, 4])
def test_no_more_is_moved_in_an_evening_than_hands_can(crates: int) -> None:
    wanted = market_records(6, {"pawpaw": 400})
    free = planned(farm_book(*wanted, batches=5))
    most = max(moved_on(free, evening(n)) for n in range(6))
    assert most > crates
    book = farm_book(*wanted, batches=5, crates_moved_per_evening=crates)
    plan = planned(book)
    assert max(moved_on(plan, evening(n)) for n in range(6)) <= crates
    assert plan.outcome.value.mean < free.outcome.value.mean
    assert faults(book, plan) == []


def test_no_move_is_asked_for_that_brings_less_than_the_grower_says_it_costs() -> None:
    wanted = market_records(6, {"pawpaw": 400})

    def moved(cost: int | None) -> int:
        plan = planned(farm_book(*wanted, batches=5, crate_move_minor=cost))
        return sum(line.crates * len(line.steps) for line in plan.lines)

    assert moved(None) > 0
    assert moved(0) >= moved(None)
    assert moved(1_000_000) == 0

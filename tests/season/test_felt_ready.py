"""What was squeezed and taken is ready for its market day, whatever was expected of it before."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.actions.packing import Squeezed
from ripenroom.season.plans.plan import Plan, PlannedMarket
from ripenroom.season.season import Season
from ripenroom.season.whereabouts import felt_ready
from tests.season.conftest import Open
from tests.season.farm import NOW, ROOM, batch_and_move, farm_records, market
from tests.season.plans.planning import plan_of
from tests.season.writing import write

DAY, LATER = "market 0.2", "market 3.0"
HARD = "batch 1"


@pytest.fixture
def packed(open_season: Open) -> Season:
    """45 pears of a batch of which few were expected to be ready, taken for a want of 40."""
    day, wants = market(0.2, {"pear": 40})
    later, more = market(3.0, {"pear": 40})
    records = [*farm_records(), day, *wants, later, *more]
    records += batch_and_move(
        1, ROOM, crop="pear", code="E-0930-1", count=60, feel_counts=(20, 0, 0, 0, 0)
    )
    season = open_season(*records)
    season.do(actions.packing.pack_squeezed, DAY, [Squeezed(HARD, 45, 15, 0)], NOW)
    return season


def market_of(plan: Plan, day: str = DAY) -> PlannedMarket:
    return next(one for one in plan.markets if one.market_day_id == day)


def test_before_the_squeeze_little_is_expected(packed: Season) -> None:
    packed.undo()
    assert market_of(plan_of(packed)).ready.mid < 30.0


@pytest.mark.parametrize("learns", [False, True])
def test_what_was_taken_is_ready_in_plan_and_forecast(packed: Season, learns: bool) -> None:
    if learns:
        packed.learn()
    plan = plan_of(packed)
    told = market_of(plan)
    assert (told.ready.low, told.ready.mid, told.ready.high) == pytest.approx((45.0,) * 3)
    assert (told.shortage, told.risk) == (0.0, 0.0)
    [line] = [line for line in plan.lines if line.packed]
    assert (line.expected_ready_share, line.fruit) == pytest.approx((1.0, 45.0))
    # The market day wants no more.
    assert not [x for x in plan.lines if x.market_day_id == DAY and not x.packed]
    supply = next(s for s in packed.supply() if s.market_day_id == DAY)
    assert supply.low >= 45.0


def test_crates_that_were_only_ticked_are_as_they_are_believed(packed: Season) -> None:
    packed.undo()
    ticked = Pin(id="tick", batch_id=HARD, crates=2, market_day_id=DAY, packed_at=NOW)
    write(packed, Action("tick", (ticked,)))
    assert not felt_ready(ticked, packed.book)
    assert market_of(plan_of(packed)).ready.mid < 30.0


def test_the_squeeze_is_for_its_own_market_day(packed: Season) -> None:
    [pin] = packed.book.pins.values()
    assert felt_ready(pin, packed.book)
    again = replace(pin, market_day_id=LATER, packed_at=NOW + timedelta(days=2))
    assert not felt_ready(again, packed.book)
    assert not felt_ready(replace(pin, packed_at=None), packed.book)

"""Fruit for market days: counted once, gone once sold, and with an honest range."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.season import actions
from ripenroom.season.projection import Supply
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    YESTERDAY,
    batch_and_move,
    entry,
    farm_records,
    market,
)


def supply_on(living: Season, days_ahead: float, **given: int) -> Supply:
    """Pawpaws for a market so many days ahead; the market is taken back again."""
    day, wants = market(days_ahead, {"pawpaw": 30})
    day = replace(day, **given)  # type: ignore[arg-type]
    living.do(actions.ahead.save_market_day, day, wants)
    (found,) = living.supply()
    living.undo()
    return found


def test_no_more_fruit_is_promised_than_there_is(living: Season) -> None:
    living.do(actions.picks.add, entry(place_id=ROOM, count=20))
    living.do(actions.picks.add, entry(place_id=SHELF, count=20))
    for days in range(20):
        for within in (0, 3, 30):
            supply = supply_on(living, days, eat_within_days=within)
            assert 0.0 <= supply.low <= supply.ready <= supply.high <= 40.0 + 1e-6
            assert supply.wanted == 30


def test_the_share_that_is_ready_is_counted_once(living: Season) -> None:
    """Within a very long time all fruit that ripens and is not past becomes ready, once."""
    (batch,) = living.do(actions.picks.add, entry(place_id=ROOM, count=20, picked_at=NOW))
    whole = supply_on(living, 0, eat_within_days=30).ready
    ripens = 1.0 - living.projection().wont_ripen[0]
    assert whole == pytest.approx(20.0 * ripens, rel=0.02)
    assert supply_on(living, 0).ready < 2.0
    living.do(actions.batches.delete, [batch.id])
    assert supply_on(living, 0, eat_within_days=30).ready == 0.0


def test_waiting_longer_never_lowers_the_number(living: Season) -> None:
    living.do(actions.picks.add, entry(feel_counts=(2, 14, 9, 3, 1), place_id=ROOM))
    living.do(actions.picks.add, entry(feel_counts=(0, 14, 9, 0, 0), place_id=SHELF))
    for days in (0, 1, 3, 6, 10):
        ready = [supply_on(living, days, eat_within_days=n) for n in (0, 1, 2, 5, 10, 30)]
        assert [s.ready for s in ready] == sorted(s.ready for s in ready)
        assert [s.high for s in ready] == sorted(s.high for s in ready)


def test_sold_fruit_leaves_the_supply(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(place_id=ROOM, feel_counts=(0, 0, 20, 0, 0)))
    before = supply_on(living, 1)
    living.do(actions.batches.take_out, batch.id, 5, "sold", NOW)
    after = supply_on(living, 1)
    assert after.ready == pytest.approx(before.ready * 15 / 20)
    assert after.high == pytest.approx(before.high * 15 / 20)
    living.do(actions.batches.take_out, batch.id, 15, "discarded", NOW)
    assert supply_on(living, 1).ready == 0.0


def test_what_a_market_sells_was_there_when_it_began(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(place_id=ROOM, feel_counts=(0, 0, 0, 20, 0)))
    day, wants = market(-0.25, {"pawpaw": 30})
    living.do(actions.ahead.save_market_day, day, wants)
    before = living.supply()
    living.do(actions.batches.take_out, batch.id, 8, "sold", day.starts_at, day.id)
    assert living.supply() == before


def test_a_planned_pull_matters(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(crop="pear", feel_counts=(20, 0, 0, 0, 0)))

    def pears(days_ahead: float) -> float:
        living.do(
            actions.ahead.save_market_day, *market(days_ahead, {"pear": 10}, eat_within_days=2)
        )
        (found,) = living.supply()
        living.undo()
        return found.ready

    waiting = pears(9)
    living.do(actions.moves.move, [batch.id], ROOM, NOW + timedelta(days=2))
    assert pears(9) > waiting + 5.0
    assert pears(2) == pytest.approx(0.0, abs=0.5)


def test_fruit_counts_only_from_its_pick_on(living: Season) -> None:
    living.do(actions.picks.add, entry(place_id=ROOM, feel_counts=(0, 0, 0, 20, 0)))
    assert supply_on(living, -2).ready == 0.0
    assert supply_on(living, -0.5).ready > 5.0


def test_fruit_beyond_its_allowance_is_not_counted(living: Season) -> None:
    living.do(actions.picks.add, entry(place_id=COLD, picked_at=NOW - timedelta(days=55)))
    out_h = living.projection().chilling_out_h[0]
    days_left = (out_h - living.projection().at_h) / 24.0
    assert days_left < 0.0
    assert supply_on(living, 0, eat_within_days=30).ready == 0.0


def test_batches_that_share_a_rate_are_early_together(open_season: Open) -> None:
    """Ranges of one crop's batches add up; were they independent, they would even out."""
    records = [r for n in range(9) for r in batch_and_move(n, ROOM, picked_at=YESTERDAY)]
    many = supply_on(open_season(*farm_records(), *records), 2)
    one = supply_on(open_season(*farm_records(), *batch_and_move(1, ROOM)), 2)
    assert many.ready == pytest.approx(9.0 * one.ready)
    assert many.high - many.low == pytest.approx(9.0 * (one.high - one.low))


def test_the_order_is_that_of_days_and_crops(living: Season) -> None:
    for days in (9, 2):
        living.do(
            actions.ahead.save_market_day, *market(days, {"pear": 1, "avocado": 2, "pawpaw": 3})
        )
    found = [(s.market_day_id, s.crop) for s in living.supply()]
    assert found == [
        (f"market {days}", crop) for days in (2, 9) for crop in ("avocado", "pawpaw", "pear")
    ]

"""Forecasts held to what was found."""

import math
import threading
from datetime import timedelta

import pytest

from ripenroom.records.batch import Brought, Removal
from ripenroom.records.book import Record
from ripenroom.science.learning.posterior import Cancelled
from ripenroom.season.learning.calibration import Calibration, ForecastKind, calibration
from ripenroom.season.state import SeasonState
from tests.season.farm import NOW, market
from tests.season.learning.checks import CROPS, FAST, MOSTLY_SOFT, ZONE, check, farm


def found(*records: Record) -> Calibration:
    return calibration(SeasonState(farm(*records), CROPS, NOW, ZONE))


def sold(brought: int, thrown: int) -> list[Record]:
    """A settled market three days ago to which fruit of batch 1 was brought."""
    day, wants = market(-3.0, {"pawpaw": 20}, settled_at=NOW - timedelta(days=2))
    out = Removal(
        id="thrown",
        batch_id="batch 1",
        at=day.starts_at,
        count=thrown,
        outcome="discarded",
        market_day_id=day.id,
    )
    came = Brought(id="came", batch_id="batch 1", market_day_id=day.id, count=brought)
    return [day, *wants, came, *([out] if thrown else [])]


def test_nothing_to_hold_a_forecast_to() -> None:
    empty = found()
    assert (empty.rows, empty.worst) == ((), ())
    assert math.isnan(empty.inside)
    assert math.isnan(empty.drift_days)


def test_each_forecast_knows_only_the_days_before() -> None:
    rows = found(*FAST).rows
    assert [row.source_id for row in rows] == ["check 1", "check 2", "check 3"]
    assert [row.known_checks for row in rows] == [0, 1, 2]


def test_two_checks_of_one_day_do_not_know_of_each_other() -> None:
    rows = found(check(1, 1, 3.0, MOSTLY_SOFT), check(2, 1, 2.9, MOSTLY_SOFT)).rows
    assert [row.known_checks for row in rows] == [0, 0]
    assert rows[1].expected.mid == pytest.approx(rows[0].expected.mid, abs=0.1)


def test_a_later_check_is_expected_better() -> None:
    first, second, _ = found(*FAST).rows
    assert second.expected.high - second.expected.low < first.expected.high - first.expected.low


def test_a_miss_is_named_and_says_how_far() -> None:
    hard = found(*FAST, check(4, 0, 0.2, (18, 2, 0, 0, 0)))
    assert hard.rows[hard.worst[0]].source_id == "check 4"
    assert hard.rows[-1].early_days < -1.0
    assert hard.inside < 1.0


def test_a_check_that_does_not_count_is_left_out() -> None:
    assert found(check(1, 1, 3.0, MOSTLY_SOFT, counted=False)).rows == ()


def test_a_market_is_held_to_what_was_thrown_away() -> None:
    (good,) = found(*sold(20, 0)).rows
    assert (good.outcome, good.observed, good.inside) == (ForecastKind.MARKET, 1.0, True)
    (bad,) = found(*sold(20, 16)).rows
    assert bad.observed == pytest.approx(0.2)
    assert not bad.inside
    assert bad.z > 1.28


def test_a_market_that_was_not_settled_tells_nothing() -> None:
    day, wants = market(-3.0, {"pawpaw": 20})
    came = Brought(id="came", batch_id="batch 1", market_day_id=day.id, count=20)
    assert found(day, *wants, came).rows == ()


def test_it_can_be_called_off() -> None:
    called_off = threading.Event()
    called_off.set()
    with pytest.raises(Cancelled):
        calibration(SeasonState(farm(*FAST), CROPS, NOW, ZONE), called_off)

"""Scales on which figures and statements are about Normal."""

import math

import numpy as np
import pytest

from ripenroom.records.crop.statement import Asks, Statement
from tests.fits.scales import (
    LOG,
    LOG_ABOVE_ONE,
    LOGIT,
    Scale,
    age_scale,
    interval_on_scale,
    said_on_scale,
)

LBF = 4.4482216152605


def said(
    low: float | None, high: float | None, asks: Asks = Asks.READY, rounding: float = 0.0
) -> Statement:
    return Statement(asks=asks, low=low, high=high, rounding=rounding, kind="trial", source="")


@pytest.mark.parametrize(
    ("scale", "values"),
    [
        (LOG, [0.003, 1.0, 40.0]),
        (LOG_ABOVE_ONE, [1.05, 2.0, 4.7]),
        (LOGIT, [0.01, 0.5, 0.97]),
        (age_scale(80.0, 2.0, 1.0), [3.0, 14.0, 45.0, 79.0]),
        (age_scale(18.0 * LBF, 0.5 * LBF, LBF), [0.6, 3.0, 12.0, 17.9]),
    ],
)
def test_a_figure_comes_back_from_its_scale(scale: Scale, values: list[float]) -> None:
    for value in values:
        assert scale.back(scale.to(value)) == pytest.approx(value, rel=1e-9)
    on_scale = [scale.to(value) for value in values]
    assert on_scale in (sorted(on_scale), sorted(on_scale, reverse=True))


def test_an_age_is_zero_half_way_and_later_where_it_is_softer() -> None:
    scale = age_scale(82.0, 2.0, 1.0)
    assert scale.to(42.0) == pytest.approx(0.0)
    assert scale.to(10.0) > 0.0 > scale.to(70.0)
    assert age_scale(82.0, 2.0, LBF).to(42.0 / LBF) == pytest.approx(0.0)


def test_what_cannot_be_on_a_scale_is_taken_as_its_end() -> None:
    assert math.isfinite(LOG_ABOVE_ONE.to(1.0))
    assert math.isfinite(LOGIT.to(0.0))
    assert math.isfinite(LOGIT.to(1.0))


def test_durations_are_off_by_factors_and_never_is_far_away() -> None:
    one, two, never, at_once = said_on_scale(
        [said(1.0, 2.0)] * 4, np.array([3.0, 6.0, math.nan, 0.0])
    )
    assert two - one == pytest.approx(math.log(2.0))
    assert never > one + math.log(100.0)
    assert math.isfinite(at_once)


def test_shares_are_off_by_logits_and_never_is_none() -> None:
    share = said(10.0, 20.0, Asks.READY_PCT)
    values = np.array([50.0, 45.0, 55.0, math.nan, 100.0])
    half, less, more, never, all_of_it = said_on_scale([share] * 5, values)
    assert half == pytest.approx(0.0)
    # Near one half a tenth of all fruit counts like a tenth of a duration.
    assert more - less == pytest.approx(0.1, abs=1e-3)
    assert never == pytest.approx(-all_of_it)
    assert math.isfinite(never)


def test_rows_of_several_sets_of_figures_are_scaled_alike() -> None:
    statements = [said(1.0, 2.0), said(10.0, 20.0, Asks.WONT_RIPEN)]
    rows = np.array([[3.0, 40.0], [4.0, math.nan]])
    both = said_on_scale(statements, rows)
    assert both.shape == (2, 2)
    assert both[1] == pytest.approx(said_on_scale(statements, rows[1]))


def test_an_interval_reaches_to_half_of_its_last_step() -> None:
    assert interval_on_scale(said(4.0, 6.0, rounding=0.5)) == pytest.approx(
        (math.log(3.5), math.log(6.5))
    )
    low, high = interval_on_scale(said(None, 6.0, rounding=0.5))
    assert low == -math.inf
    assert high == pytest.approx(math.log(6.5))
    low, high = interval_on_scale(said(4.0, None))
    assert low == pytest.approx(math.log(4.0))
    assert high == math.inf


@pytest.mark.parametrize("asks", [Asks.READY, Asks.READY_PCT])
@pytest.mark.parametrize("value", [0.0, 3.0, 100.0])
def test_an_exact_number_is_still_an_interval_around_itself(asks: Asks, value: float) -> None:
    statement = said(value, value, asks)
    low, high = interval_on_scale(statement)
    (at,) = said_on_scale([statement], np.array([value]))
    assert low < at < high
    assert high - low < 0.1


def test_what_lies_inside_as_printed_lies_inside_on_the_scale() -> None:
    for asks in (Asks.KEPT, Asks.WONT_RIPEN):
        statement = said(2.0, 30.0, asks, rounding=0.5)
        low, high = interval_on_scale(statement)
        inside = said_on_scale([statement] * 3, np.array([1.6, 15.0, 30.4]))
        outside = said_on_scale([statement] * 2, np.array([1.2, 31.0]))
        assert (low < inside).all()
        assert (inside < high).all()
        assert outside[0] < low
        assert outside[1] > high

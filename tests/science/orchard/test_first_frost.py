"""The first frost: levels, chances day by day, forecast nights."""

import numpy as np
import pytest
from scipy.special import ndtr

from ripenroom.science.orchard.first_frost import (
    FALLEN_AFTER_LIGHT,
    FirstFrost,
    first_frost_chances,
    from_first_days,
    from_two_days,
    with_forecast_nights,
)


def test_two_days_come_back_as_levels() -> None:
    frost = from_two_days(300.0, 287.0)
    assert frost.level([0.1, 0.5]) == pytest.approx([287.0, 300.0])
    assert frost.by(287.0) == pytest.approx(0.1)
    with pytest.raises(ValueError, match="one season in ten"):
        from_two_days(287.0, 300.0)


def test_chances_given_none_so_far_make_up_the_whole() -> None:
    frost = from_two_days(300.0, 287.0)
    days = np.arange(240.0, 371.0)
    hazard = frost.hazard(days)
    assert (np.diff(hazard[10:100]) > 0.0).all()
    first = first_frost_chances(hazard)
    assert first.sum() == pytest.approx(1.0, abs=1e-6)
    assert (first * days).sum() == pytest.approx(300.0, abs=0.02)
    # From the tenth of ten on, none so far: the same as the tail of the Normal.
    later = first_frost_chances(frost.hazard(days[days >= 300.0]))
    assert (later * days[days >= 300.0]).sum() == pytest.approx(300.0 + 10.14 * 0.7979, abs=0.5)


def test_few_seasons_lean_on_the_usual_spread_and_many_do_not() -> None:
    rng = np.random.default_rng(3)
    few = from_first_days([290.0, 292.0])
    assert 8.0 < few.sd_days < 14.0
    many = from_first_days(rng.normal(290.0, 5.0, 400))
    assert many.sd_days == pytest.approx(5.0, rel=0.06)
    some = from_first_days([290.0, 300.0, np.nan, 295.0])
    assert some.comes == pytest.approx(0.7)
    assert some.by(400.0) == pytest.approx(0.7, abs=1e-3)
    assert np.isnan(some.level(0.8))
    with pytest.raises(ValueError, match="no season"):
        from_first_days([np.nan])


def test_ranges_from_few_seasons_hold_as_often_as_they_say() -> None:
    """The tenth and ninetieth levels of five seasons hold the sixth in four cases of five."""
    rng = np.random.default_rng(11)
    held = []
    for _ in range(2_000):
        days = rng.normal(300.0, 10.0, 6)
        low, high = from_first_days(days[:5]).level([0.1, 0.9])
        held.append(low <= days[5] <= high)
    assert 0.77 < np.mean(held) < 0.84


def test_a_sure_forecast_decides_and_a_vague_one_says_nothing() -> None:
    hazard = np.array([0.02, 0.02, 0.02, 0.02])
    told = with_forecast_nights(hazard, [-3.0, 6.0, np.nan, -3.0], [0.5, 0.5, 1.0, 1e6])
    assert told[0] > 0.999
    assert told[1] < 1e-6
    assert told[2] == 0.02
    assert told[3] == pytest.approx(0.02, abs=1e-6)


def test_a_forecast_is_weighed_against_the_season() -> None:
    """Bayes for two Normals: nights of 4.5 C sd about the one that gives the chance, and the
    forecast's error."""
    chance, forecast_c, error_c, night_c = 0.05, 1.0, 2.0, 4.5
    lows = np.linspace(-40.0, 60.0, 200_001)
    usual = 1.6448536 * night_c
    weight = np.exp(-0.5 * ((lows - usual) / night_c) ** 2)
    weight *= np.exp(-0.5 * ((lows - forecast_c) / error_c) ** 2)
    by_hand = weight[lows < 0.0].sum() / weight.sum()
    told = with_forecast_nights(chance, forecast_c, error_c, 0.0)
    assert float(told) == pytest.approx(by_hand, abs=1e-4)
    assert float(told) < ndtr(-forecast_c / error_c)


def test_a_light_frost_brings_down_all_within_four_days() -> None:
    """Durgan.org, October 2019: all fruit let go within four days of light frosts."""
    assert len(FALLEN_AFTER_LIGHT) == 4
    assert FALLEN_AFTER_LIGHT[-1] == 1.0
    assert list(FALLEN_AFTER_LIGHT) == sorted(FALLEN_AFTER_LIGHT)


def test_a_level_of_a_frost_that_always_comes() -> None:
    frost = FirstFrost(300.0, 10.0)
    assert frost.level(0.9) == pytest.approx(312.8155)

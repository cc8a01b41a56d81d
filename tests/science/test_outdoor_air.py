"""Air through the day from its coldest and warmest, and air that follows it indoors."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ripenroom.science.outdoor_air import COLDEST_HOUR, WARMEST_HOUR, following, through_the_days


def test_each_day_reaches_its_coldest_and_warmest() -> None:
    hours, celsius = through_the_days([0.0, 24.0, 48.0], [4.0, 6.0, 1.0], [16.0, 19.0, 12.0])
    assert hours[0] == 0.0
    assert hours[-1] == 72.0
    assert celsius[hours == COLDEST_HOUR] == 4.0
    assert celsius[hours == 24.0 + WARMEST_HOUR] == 19.0
    assert celsius[hours == 48.0 + COLDEST_HOUR] == 1.0
    assert celsius.max() == 19.0
    assert celsius.min() == 1.0
    # Half-way in time between two extremes is half-way in temperature.
    assert np.interp((WARMEST_HOUR + 24.0 + COLDEST_HOUR) / 2.0, hours, celsius) == pytest.approx(
        11
    )


def test_a_day_of_23_hours_makes_no_jump() -> None:
    hours, celsius = through_the_days([0.0, 23.0, 47.0], [4.0] * 3, [16.0] * 3)
    # A half wave of 12 K in nine hours is steepest at 12 pi / 18 K an hour.
    assert np.abs(np.diff(celsius)).max() < 12.0 * np.pi / 18.0 * 0.5 + 0.01
    assert (np.diff(hours) == 0.5).all()


@pytest.mark.parametrize("lag_h", [0.5, 3.0, 20.0])
def test_air_that_follows_is_the_answer_of_first_order_cooling(lag_h: float) -> None:
    hours, outdoors = through_the_days(24.0 * np.arange(4), [4.0, 6.0, 1.0, 3.0], [16.0] * 4)
    found = following(hours, outdoors, lag_h)
    rate = math.log(2.0) / lag_h
    exact = solve_ivp(
        lambda at, air: rate * (np.interp(at, hours, outdoors) - air),
        (hours[0], hours[-1]),
        [found[0]],
        t_eval=hours,
        rtol=1e-9,
        atol=1e-9,
        max_step=0.02,
    ).y[0]
    assert found == pytest.approx(exact, abs=1e-5)


def test_a_longer_lag_is_later_and_swings_less() -> None:
    days = 24.0 * np.arange(12)
    hours, outdoors = through_the_days(days, np.full(12, 5.0), np.full(12, 17.0))
    swings, peaks = [], []
    for lag_h in (0.0, 2.0, 6.0, 20.0):
        last = following(hours, outdoors, lag_h)[-97:-48]
        swings.append(float(np.ptp(last)))
        peaks.append(int(last.argmax()))
    assert swings[0] == pytest.approx(12.0)
    assert swings == sorted(swings, reverse=True)
    assert peaks == sorted(peaks)

"""Air indoors and outdoors, settled pulp in it, and the recursion that both follow."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ripenroom.science.air import (
    COLDEST_HOUR,
    DAY_H,
    WARMEST_HOUR,
    Air,
    LoggedAir,
    ScheduledAir,
    first_order,
    following,
    through_the_days,
)
from ripenroom.science.softening import Floats

STEPPED = ScheduledAir([0.0, 30.0, 60.0], [22.0, 4.0, 12.0], half_cooling_h=6.0)
SWINGING = ScheduledAir([0.0], [18.0], half_cooling_h=6.0, swing_k=5.0, warmest_h=15.0)
BOTH = ScheduledAir([0.0, 30.0], [22.0, 8.0], half_cooling_h=3.0, swing_k=4.0, warmest_h=15.0)
LOGGED = LoggedAir([0.0, 1.0, 5.0, 6.5, 30.0], [20.0, 24.0, 8.0, 8.0, 14.0], half_cooling_h=4.0)


def cooling_misfit(air: Air, hours: Floats) -> Floats:
    """dT/dt of the settled pulp less what first-order cooling makes it (K/h)."""
    step = 1e-4
    slope = (air.pulp_c(hours + step) - air.pulp_c(hours - step)) / (2.0 * step)
    pull = math.log(2.0) / air.half_cooling_h * (air.air_c(hours) - air.pulp_c(hours))
    return np.asarray(slope - pull)


@pytest.mark.parametrize("air", [STEPPED, SWINGING, BOTH, LOGGED])
def test_pulp_obeys_first_order_cooling(air: Air) -> None:
    # None of these hours is that of a step or a reading, where the slope has a kink.
    hours = np.arange(0.1, 90.0, 0.27)
    assert np.abs(cooling_misfit(air, hours)).max() < 1e-6


@pytest.mark.parametrize("air", [STEPPED, SWINGING, BOTH, LOGGED])
def test_pulp_never_jumps(air: Air) -> None:
    hours = np.sort(np.concatenate([np.arange(0.0, 90.0), np.arange(0.0, 90.0) + 1e-6]))
    assert np.abs(np.diff(air.pulp_c(hours)))[::2].max() < 1e-4


def test_half_way_after_a_half_cooling_time_and_seven_eighths_after_three() -> None:
    pulp = STEPPED.pulp_c([30.0, 36.0, 48.0])
    np.testing.assert_allclose(pulp, [22.0, 13.0, 4.0 + 18.0 / 8.0], rtol=1e-12)


def test_the_first_set_point_holds_before_its_time_and_the_last_for_good() -> None:
    assert STEPPED.air_c([-500.0, -0.1, 0.0, 29.99, 30.0, 59.99, 60.0, 9999.0]).tolist() == [
        22.0, 22.0, 22.0, 22.0, 4.0, 4.0, 12.0, 12.0,
    ]  # fmt: skip
    assert STEPPED.pulp_c(-500.0) == 22.0
    assert STEPPED.pulp_c(9999.0) == pytest.approx(12.0, abs=1e-12)


def test_air_swings_around_the_set_point_and_is_warmest_when_said() -> None:
    hours = np.linspace(0.0, DAY_H, 2401)
    air = SWINGING.air_c(hours)
    assert air.max() == pytest.approx(23.0)
    assert air.min() == pytest.approx(13.0)
    assert hours[air.argmax()] == pytest.approx(15.0)
    np.testing.assert_allclose(SWINGING.air_c(hours + 3 * DAY_H), air, rtol=1e-12)


def test_pulp_swings_less_than_the_air_and_later() -> None:
    hours = np.linspace(0.0, DAY_H, 2401)
    pulp = SWINGING.pulp_c(hours)
    turn, decay = 2.0 * math.pi / DAY_H, math.log(2.0) / 6.0
    assert pulp.max() - 18.0 == pytest.approx(5.0 * decay / math.hypot(decay, turn), rel=1e-5)
    assert hours[pulp.argmax()] - 15.0 == pytest.approx(math.atan2(turn, decay) / turn, abs=0.01)
    assert pulp.mean() == pytest.approx(18.0, abs=0.01)


def test_logged_air_runs_straight_between_readings_and_level_outside() -> None:
    assert LOGGED.air_c([-9.0, 0.0, 0.5, 3.0, 6.0, 30.0, 99.0]).tolist() == [
        20.0, 20.0, 22.0, 16.0, 8.0, 14.0, 14.0,
    ]  # fmt: skip


def test_logged_pulp_is_settled_at_the_first_reading_and_settles_to_the_last() -> None:
    assert LOGGED.pulp_c([-50.0, 0.0]).tolist() == [20.0, 20.0]
    assert LOGGED.pulp_c(200.0) == pytest.approx(14.0, abs=1e-6)


def test_a_log_with_one_reading_is_a_steady_place() -> None:
    steady = LoggedAir([5.0], [11.0], half_cooling_h=3.0)
    assert steady.pulp_c([0.0, 5.0, 50.0]).tolist() == [11.0, 11.0, 11.0]


def test_a_log_of_a_steep_step_is_as_a_step() -> None:
    step = ScheduledAir([0.0, 10.0], [20.0, 5.0], half_cooling_h=4.0)
    logged = LoggedAir([0.0, 10.0, 10.0 + 1e-7], [20.0, 20.0, 5.0], half_cooling_h=4.0)
    hours = np.linspace(-5.0, 60.0, 300)
    np.testing.assert_allclose(logged.pulp_c(hours), step.pulp_c(hours), atol=1e-5)


@given(
    gaps_h=st.lists(st.floats(0.1, 30.0), min_size=1, max_size=12),
    celsius=st.lists(st.floats(-5.0, 35.0), min_size=13, max_size=13),
    half_cooling_h=st.floats(0.1, 30.0),
)
def test_logged_pulp_stays_within_what_the_air_has_been(
    gaps_h: list[float], celsius: list[float], half_cooling_h: float
) -> None:
    reading_h = np.concatenate([[0.0], np.cumsum(gaps_h)])
    reading_c = celsius[: reading_h.size]
    air = LoggedAir(reading_h, reading_c, half_cooling_h)
    pulp = air.pulp_c(np.linspace(-1.0, reading_h[-1] + 50.0, 200))
    assert pulp.min() >= min(reading_c) - 1e-6
    assert pulp.max() <= max(reading_c) + 1e-6


@pytest.mark.parametrize("air", [STEPPED, SWINGING, BOTH, LOGGED])
def test_knots_run_from_start_to_end_and_increase(air: Air) -> None:
    knots = air.knots(10.5, 77.0)
    assert knots[0] == 10.5
    assert knots[-1] == 77.0
    assert (np.diff(knots) > 0.0).all()


@pytest.mark.parametrize(("air", "kinks"), [(STEPPED, [30.0, 60.0]), (LOGGED, [1.0, 5.0, 6.5])])
def test_every_kink_of_the_pulp_is_a_knot(air: Air, kinks: list[float]) -> None:
    assert set(kinks) <= set(air.knots(0.0, 80.0).tolist())


def test_a_steady_place_needs_no_knots_but_its_ends() -> None:
    assert ScheduledAir([0.0], [4.0], 6.0).knots(0.0, 1500.0).tolist() == [0.0, 1500.0]


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


def step_by_step(keep: Floats, gain: Floats, first: float) -> list[float]:
    found = [first]
    for kept, more in zip(keep.tolist(), gain.tolist(), strict=True):
        found.append(kept * found[-1] + more)
    return found


@pytest.mark.parametrize("size", [0, 1, 2, 3, 7, 8, 9, 1_000, 20_001])
@pytest.mark.parametrize("least", [0.0, 0.9, 0.9999])
def test_as_step_by_step(size: int, least: float) -> None:
    rng = np.random.default_rng(size)
    keep, gain = rng.uniform(least, 1.0, size), rng.normal(0.0, 1.0, size)
    found = first_order(keep, gain, -3.0)
    assert found == pytest.approx(step_by_step(keep, gain, -3.0), rel=1e-12, abs=1e-11)


def test_what_never_fades_adds_up() -> None:
    assert first_order(np.ones(100), np.ones(100)) == pytest.approx(np.arange(101.0))


def test_its_input_stays_as_it_is() -> None:
    keep, gain = np.full(9, 0.5), np.ones(9)
    first_order(keep, gain, 1.0)
    assert (keep == 0.5).all()
    assert (gain == 1.0).all()

"""Clocks: an integral of a rate, read forwards and backwards."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from ripenroom.science.air import LoggedAir, ScheduledAir
from ripenroom.science.clock import Clock, ClockKnots, ClockTable, SettledPulp
from ripenroom.science.temperature import Response

PAWPAW = Response(20.0, 120.0, 27.0, 200.0)
SWINGING = ScheduledAir([0.0], [18.0], half_cooling_h=6.0, swing_k=8.0, warmest_h=15.0)
STEPPED = ScheduledAir([0.0, 30.0], [22.0, 4.0], half_cooling_h=6.0)
LOGGED = LoggedAir([0.0, 7.0, 9.0, 33.0], [22.0, 25.0, 6.0, 10.0], half_cooling_h=2.0)


def test_a_steady_place_at_the_reference_gains_a_day_a_day() -> None:
    steady = ScheduledAir([0.0], [20.0], half_cooling_h=6.0)
    clock = SettledPulp(steady, 0.0, 240.0).clock(PAWPAW.relative_rate)
    np.testing.assert_allclose(np.interp([24.0, 120.0], clock.hours, clock.theta), [1.0, 5.0])


@pytest.mark.parametrize("air", [SWINGING, STEPPED, LOGGED])
def test_at_every_knot_the_clock_is_the_integral_of_the_rate(
    air: ScheduledAir | LoggedAir,
) -> None:
    clock = SettledPulp(air, 0.0, 72.0).clock(PAWPAW.relative_rate)
    knots = clock.hours[:-1]
    pieces = [
        quad(lambda t: float(PAWPAW.relative_rate(air.pulp_c(t))), a, b, epsabs=1e-13)[0] / 24.0
        for a, b in pairwise(knots)
    ]
    np.testing.assert_allclose(
        clock.theta[:-1], np.concatenate([[0], np.cumsum(pieces)]), rtol=1e-8
    )


def test_a_swing_ages_fruit_more_than_its_mean() -> None:
    gentle = Response(20.0, 60.0)  # convex everywhere in the swing, as Jensen's inequality asks
    swung = SettledPulp(SWINGING, 0.0, 240.0).clock(gentle.relative_rate).theta[-2]
    level = ScheduledAir([0.0], [18.0], half_cooling_h=6.0)
    flat = SettledPulp(level, 0.0, 240.0).clock(gentle.relative_rate).theta[-2]
    assert swung > 1.015 * flat


def test_after_its_end_a_clock_goes_on_at_its_last_days_pace_for_three_years() -> None:
    clock = SettledPulp(SWINGING, 0.0, 240.0).clock(PAWPAW.relative_rate)
    last_day = clock.theta[-2] - np.interp(216.0, clock.hours, clock.theta)
    assert clock.hours[-1] == 240.0 + 3 * 365 * 24.0
    assert (clock.theta[-1] - clock.theta[-2]) / (3 * 365) == pytest.approx(last_day)


def test_a_clock_shorter_than_a_day_goes_on_at_its_whole_pace() -> None:
    clock = SettledPulp(STEPPED, 0.0, 6.0).clock(PAWPAW.relative_rate)
    assert clock.theta[-1] / clock.hours[-1] == pytest.approx(clock.theta[-2] / 6.0)


def shelves(clocks: Sequence[Clock]) -> tuple[ClockKnots, ClockTable]:
    knots = ClockKnots([clock.hours for clock in clocks])
    return knots, ClockTable(knots, np.concatenate([clock.theta for clock in clocks]))


def some_rooms() -> list[Clock]:
    clocks = [
        SettledPulp(air, 0.0, 240.0).clock(PAWPAW.relative_rate)
        for air in (SWINGING, STEPPED, LOGGED)
    ]
    return [*clocks, SettledPulp(STEPPED, 0.0, 240.0).clock(np.zeros_like)]


ROOMS = some_rooms()
KNOTS, SHELF = shelves(ROOMS)
HOURS = np.array([0.0, 0.4, 31.3, 117.0, 240.0, 1000.0, 26000.0])


def test_on_a_shelf_each_clock_reads_as_alone() -> None:
    table = SHELF.table(HOURS)
    for number, clock in enumerate(ROOMS):
        alone = np.interp(HOURS, clock.hours, clock.theta)
        which = np.full(HOURS.size, number)
        np.testing.assert_allclose(table[number], alone, atol=1e-9)
        np.testing.assert_allclose(SHELF.theta_at(which, HOURS), alone, atol=1e-9)
        np.testing.assert_allclose(SHELF.read(KNOTS.position(which, HOURS)), alone, atol=1e-9)


def test_before_its_first_and_beyond_its_last_hour_a_clock_stands_still() -> None:
    hours = np.array([-1e6, -1.0, 0.0])
    assert SHELF.table(hours).tolist() == [[0.0] * 3] * 4
    for number, clock in enumerate(ROOMS):
        beyond = SHELF.theta_at(np.array([number]), np.array([clock.hours[-1]]))
        assert beyond[0] == pytest.approx(clock.theta[-1], rel=1e-12)


@pytest.mark.parametrize("number", [0, 1, 2])
def test_pace_is_the_advance_of_an_hour(number: int) -> None:
    hours = np.array([0.3, 35.1, 61.2, 3000.0])
    which = np.full(hours.size, number)
    theta, pace = SHELF.theta_and_pace(which, hours)
    step = 1e-3
    np.testing.assert_allclose(theta, SHELF.theta_at(which, hours), rtol=1e-12)
    further = SHELF.theta_at(which, hours + step)
    np.testing.assert_allclose((further - theta) / step, pace, rtol=1e-4)


@given(number=st.integers(0, 2), theta=st.floats(0.0, 40.0))
def test_hours_at_inverts_theta_at(number: int, theta: float) -> None:
    clock = np.array([[number]])
    hours = SHELF.hours_at(clock, np.array([[theta]]))
    assert SHELF.theta_at(clock, hours)[0, 0] == pytest.approx(theta, abs=1e-8)


def test_below_0_is_the_first_hour_and_beyond_the_end_never() -> None:
    for number in range(3):
        which = np.full((1, 3), number)
        end = ROOMS[number].theta[-1]
        hours = SHELF.hours_at(which, np.array([[-5.0, end * 0.999, end + 0.1]]))
        assert hours[0, 0] == pytest.approx(0.0, abs=1e-6)
        assert 240.0 < hours[0, 1] < ROOMS[number].hours[-1]
        assert np.isinf(hours[0, 2])


def test_a_clock_that_stands_still_never_gets_anywhere() -> None:
    hours = SHELF.hours_at(np.full((1, 2), 3), np.array([[1e-6, 3.0]]))
    assert np.isinf(hours).all()


def test_a_clock_may_run_backwards_to_be_read() -> None:
    """The derivative of ageing by activation energy is negative in the cold."""
    slope = SettledPulp(STEPPED, 0.0, 240.0).clock(lambda c: -PAWPAW.relative_rate(c))
    _, shelf = shelves([ROOMS[0], slope])
    expected = [np.interp(HOURS, clock.hours, clock.theta) for clock in (ROOMS[0], slope)]
    np.testing.assert_allclose(shelf.table(HOURS), expected, atol=1e-9)


def test_a_hundred_rooms_half_a_century_after_the_epoch_keep_seven_digits_of_an_hour() -> None:
    """Setting rooms apart on one axis eats digits."""
    start_h = 490_000.0
    clocks = [
        SettledPulp(ScheduledAir([start_h], [c], 6.0), start_h, start_h + 2400.0).clock(
            PAWPAW.relative_rate
        )
        for c in np.linspace(0.0, 25.0, 100)
    ]
    _, shelf = shelves(clocks)
    hours = start_h + np.array([0.0, 13.37, 777.7, 2399.9])
    table = shelf.table(hours)
    alone = np.array([np.interp(hours, c.hours, c.theta) for c in clocks])
    np.testing.assert_allclose(table, alone, atol=1e-7)
    back = shelf.hours_at(np.arange(100)[:, None], table)
    np.testing.assert_allclose(back, np.broadcast_to(hours, back.shape), rtol=0, atol=1e-4)


def test_a_clock_is_read_on_the_line_between_its_hours() -> None:
    clock = Clock(np.array([0.0, 10.0, 20.0]), np.array([0.0, 1.0, 5.0]))
    assert clock.at(np.array([[5.0], [15.0]])).tolist() == [[0.5], [3.0]]

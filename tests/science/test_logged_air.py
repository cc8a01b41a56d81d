"""Readings of a logger over a schedule, against the raw series integrated minute by minute."""

import math

import numpy as np
import pytest

from ripenroom.science.air import ScheduledAir
from ripenroom.science.clock import SettledPulp
from ripenroom.science.logged_air import PartlyLoggedAir, Readings, at_shares_of_time, together
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import Response

START_H = 490_000.0
RATE = Response(20.0, 75.0, 38.0, 300.0).relative_rate


def dial(half_cooling_h: float = 6.0, swing_k: float = 1.0) -> ScheduledAir:
    """5 C, and 8 C from the sixth day on."""
    return ScheduledAir([0.0, START_H + 120.0], [5.0, 8.0], half_cooling_h, swing_k, 15.0)


def steadily(minutes: int, step_min: int, base_c: float, seed: int = 1) -> Readings:
    """A compressor that goes on and off, a door that is opened, and a restless sensor."""
    hours = START_H + np.arange(0, minutes, step_min) / 60.0
    random = np.random.default_rng(seed)
    celsius = base_c + 2.0 * np.cos((hours - 15.0) * (2.0 * math.pi / 24.0))
    celsius += 1.5 * np.sign(np.sin(hours * (2.0 * math.pi / 0.6)))
    celsius += random.normal(0.0, 0.3, hours.size)
    celsius[hours.size // 2 : hours.size // 2 + 40 // step_min] += 10.0
    return Readings(hours, celsius)


def by_the_minute(scheduled: ScheduledAir, readings: Readings) -> Floats:
    """Days at unit rate at every reading: first-order cooling and the trapezium rule."""
    pulp = np.empty(readings.hours.size)
    pulp[0] = scheduled.pulp_c(readings.hours[0])
    decay = math.log(2.0) / scheduled.half_cooling_h
    for n in range(pulp.size - 1):
        length = readings.hours[n + 1] - readings.hours[n]
        behind = (readings.celsius[n + 1] - readings.celsius[n]) / length / decay
        lead = pulp[n] - readings.celsius[n] + behind
        pulp[n + 1] = readings.celsius[n + 1] - behind + lead * math.exp(-decay * length)
    rate = RATE(pulp)
    advance = (rate[1:] + rate[:-1]) / 2.0 * np.diff(readings.hours) / 24.0
    return np.concatenate([[0.0], np.cumsum(advance)])


@pytest.mark.parametrize(
    ("half_cooling_h", "base_c", "step_min"),
    [(6.0, 6.0, 1), (3.0, 21.0, 1), (0.5, 21.0, 1), (6.0, 21.0, 10), (4.0, 21.0, 60)],
)
def test_clocks_age_fruit_as_the_raw_series_does(
    half_cooling_h: float, base_c: float, step_min: int
) -> None:
    scheduled = dial(half_cooling_h)
    raw = steadily(20 * 1440, step_min, base_c)
    air = PartlyLoggedAir(scheduled, raw.thinned())
    clock = SettledPulp(air, START_H - 240.0, raw.hours[-1] + 240.0).clock(RATE)
    found = np.interp(raw.hours, clock.hours, clock.theta)
    misfit = found - found[0] - by_the_minute(scheduled, raw)
    per_day = np.diff(misfit[:: 1440 // step_min])
    assert np.abs(per_day).max() < 1e-3
    assert np.abs(misfit).max() < 1e-3 * 20


def test_thinning_keeps_the_mean_and_the_length() -> None:
    raw = steadily(1440, 1, 6.0)
    thin = raw.thinned()
    assert thin.hours.size == 288
    assert thin.celsius.mean() == pytest.approx(raw.celsius.mean(), abs=1e-9)
    coarse = steadily(1440, 10, 6.0)
    assert coarse.thinned() is coarse


def test_outside_the_log_and_in_its_gaps_the_set_point_holds() -> None:
    hours = START_H + np.array([0.0, 0.5, 1.0, 1.5, 6.0, 6.5, 7.0])
    readings = Readings(hours, [9.0, 9.0, 9.0, 9.0, 12.0, 12.0, 12.0])
    air = PartlyLoggedAir(dial(swing_k=0.0), readings)
    assert readings.gaps.tolist() == [[START_H + 1.5, START_H + 6.0]]
    at = START_H + np.array([-1.0, 0.0, 1.2, 1.6, 5.9, 6.0, 7.0, 7.1])
    assert air.air_c(at).tolist() == [5.0, 9.0, 9.0, 5.0, 5.0, 12.0, 12.0, 5.0]


def test_a_missed_reading_or_two_is_no_gap() -> None:
    quarters = START_H + np.array([0.0, 0.25, 0.5, 2.4, 2.65])
    assert not Readings(quarters, np.full(5, 4.0)).gaps.size
    daily = START_H + 24.0 * np.array([0.0, 1.0, 2.0, 5.9, 6.9])
    assert not Readings(daily, np.full(5, 4.0)).gaps.size
    longer = START_H + 24.0 * np.array([0.0, 1.0, 2.0, 6.1, 7.1])
    assert len(Readings(longer, np.full(5, 4.0)).gaps) == 1


def test_pulp_never_jumps_and_settles_back_to_the_schedule() -> None:
    scheduled = dial()
    air = PartlyLoggedAir(scheduled, steadily(2 * 1440, 5, 12.0))
    hours = np.arange(START_H - 5.0, START_H + 100.0, 0.01)
    assert np.abs(np.diff(air.pulp_c(hours))).max() < 0.03
    late = START_H + 48.0 + 6.0 * 30.0
    assert air.pulp_c(late) == pytest.approx(scheduled.pulp_c(late), abs=1e-6)
    before = START_H - 0.001
    assert air.pulp_c(before) == pytest.approx(scheduled.pulp_c(before), abs=1e-12)


def test_a_log_that_reads_what_the_dial_says_changes_nothing() -> None:
    scheduled = dial(swing_k=6.0)
    hours = START_H + np.arange(0.0, 300.0, 0.1)
    air = PartlyLoggedAir(scheduled, Readings(hours, scheduled.air_c(hours)))
    at = START_H + np.linspace(-10.0, 350.0, 999)
    np.testing.assert_allclose(air.pulp_c(at), scheduled.pulp_c(at), atol=0.02)
    assert np.abs(air.pulp_c(at) - scheduled.pulp_c(at)).mean() < 2e-3


def test_knots_increase_from_start_to_end_and_are_few() -> None:
    air = PartlyLoggedAir(dial(), steadily(20 * 1440, 1, 6.0).thinned())
    knots = air.knots(START_H - 100.0, START_H + 900.0)
    assert knots[0] == START_H - 100.0
    assert knots[-1] == START_H + 900.0
    assert (np.diff(knots) > 0.0).all()
    assert knots.size < 3000


def test_what_is_read_later_is_cut_off() -> None:
    hours = START_H + np.arange(10.0)
    readings = Readings(hours, np.arange(10.0))
    assert readings.before(START_H - 0.5) is None
    assert readings.before(START_H + 9.0) is readings
    cut = readings.before(START_H + 3.5)
    assert cut is not None
    assert cut.celsius.tolist() == [0.0, 1.0, 2.0, 3.0, 3.5]
    assert cut.ends.tolist() == [START_H + 3.5]


def test_a_cut_in_a_gap_ends_with_the_last_reading_before_it() -> None:
    hours = START_H + np.array([0.0, 1.0, 2.0, 9.0, 10.0])
    cut = Readings(hours, np.arange(5.0)).before(START_H + 6.5)
    assert cut is not None
    assert cut.celsius.tolist() == [0.0, 1.0, 2.0]
    assert cut.ends.tolist() == [START_H + 2.0]


def test_two_logs_of_a_place_are_averaged_and_fill_each_others_gaps() -> None:
    first = Readings(START_H + np.array([0.0, 1.0, 2.0, 8.0, 9.0]), np.full(5, 4.0))
    second = Readings(START_H + np.arange(1.0, 6.0), np.full(5, 6.0))
    both = together([first, second])
    assert both is not None
    assert both.at(START_H + np.array([0.0, 1.5, 4.0, 8.5])).tolist() == [4.0, 5.0, 6.0, 4.0]
    assert both.gaps.tolist() == [[START_H + 5.0, START_H + 8.0]]
    assert together([]) is None
    assert together([first]) is first


def test_even_steps_stand_for_all_the_time_that_was_read() -> None:
    """Two runs, of one and of two hours, and nothing between them."""
    readings = Readings(np.array([0.0, 0.5, 1.0, 9.0, 10.0, 11.0]), np.zeros(6))
    assert readings.gaps.tolist() == [[1.0, 9.0]]
    hours, weight_h = readings.evenly(0.25)
    assert weight_h.sum() == pytest.approx(3.0)
    assert readings.cover(hours).all()
    assert hours @ weight_h == pytest.approx(1.0 * 0.5 + 2.0 * 10.0)


def test_shares_of_time_are_quantiles_that_count_hours() -> None:
    """The same values, each as often as it has hours."""
    values, weight_h = np.arange(1.0, 101.0), np.tile([1.0, 3.0], 50)
    often = np.repeat(values, weight_h.astype(int))
    found = at_shares_of_time(values, weight_h, (0.1, 0.5, 0.9))
    assert found == pytest.approx(np.quantile(often, (0.1, 0.5, 0.9)), abs=1.0)

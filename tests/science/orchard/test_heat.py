"""Degree days and growing degree hours against published tables; days from months; bloom."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.orchard.heat import (
    DAYS_AFTER_BLOOM,
    MANY_HOURS,
    daily_from_monthly,
    degree_days,
    growing_degree_hours,
    growing_degree_hours_of_days,
    warm_from,
)
from ripenroom.science.softening import Floats, FloatsLike
from tests.draws import draws

TABLE = Path(__file__).parent / "degree_days_f.csv"
LOWER_F, UPPER_F = 50.0, 70.0


def c(fahrenheit: FloatsLike) -> Floats:
    """Temperatures in Celsius."""
    return np.asarray((np.asarray(fahrenheit, float) - 32.0) / 1.8)


def test_the_university_of_californias_days_come_out() -> None:
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    table = np.genfromtxt(lines, delimiter=",", names=True)
    low, high = c(table["lowest"]), c(table["highest"])
    found = 1.8 * degree_days(low, high, c(LOWER_F), c(UPPER_F))
    # They are printed to a hundredth.
    assert np.abs(found - table["sine_horizontal"]).max() <= 0.0051


TEMPERATURES = st.floats(-30.0, 45.0)


@draws(60)
@given(TEMPERATURES, TEMPERATURES, st.floats(0.0, 15.0), st.floats(0.5, 20.0))
def test_waves_summed_minute_by_minute(one: float, other: float, lower: float, span: float) -> None:
    low, high, upper = min(one, other), max(one, other), lower + span
    part = (np.arange(14_400) + 0.5) / 14_400
    wave = (low + high) / 2 + (high - low) / 2 * np.sin(2 * np.pi * part)
    summed = np.clip(wave, lower, upper).mean() - lower
    assert float(degree_days(low, high, lower, upper)) == pytest.approx(summed, abs=0.02)


def test_a_day_of_one_temperature_and_a_missing_one() -> None:
    found = degree_days([10.0, 5.0, np.nan, 30.0], [10.0, 5.0, 12.0, 30.0], 8.0, 20.0)
    assert found.tolist()[:2] == [2.0, 0.0]
    assert np.isnan(found[2])
    assert found[3] == 12.0


def test_crossed_temperatures_are_refused() -> None:
    with pytest.raises(ValueError, match="lowest temperature is above"):
        degree_days(12.0, 11.0, 10.0)
    with pytest.raises(ValueError, match="lower threshold"):
        degree_days(5.0, 11.0, 10.0, 10.0)


def test_marks_of_the_curve() -> None:
    """Anderson, Richardson & Kesner 1986: none at 4 C or below and at 36 C or above, most at 25 C;
    half of that half-way up, and the falling quarter wave a third of the way down."""
    found = growing_degree_hours([-3.0, 4.0, 14.5, 25.0, 36.0, 40.0])
    assert found == pytest.approx([0.0, 0.0, 10.5, 21.0, 0.0, 0.0], abs=1e-9)
    third = 25.0 + 11.0 / 3.0
    assert float(growing_degree_hours(third)) == pytest.approx(21.0 * 0.5, abs=1e-9)


def test_a_day_is_its_wave_hour_by_hour() -> None:
    part = (np.arange(86_400) + 0.5) / 86_400
    for low, high in ((2.0, 18.0), (10.0, 33.0), (12.0, 12.0), (-8.0, 2.0)):
        wave = (low + high) / 2 + (high - low) / 2 * np.sin(2 * np.pi * part)
        summed = 24.0 * growing_degree_hours(wave).mean()
        assert float(growing_degree_hours_of_days(low, high)) == pytest.approx(summed, abs=0.6)


def test_a_warm_spring_passes_six_thousand_hours() -> None:
    """Lopez & DeJong 2007: above 6,000 in the 30 days after full bloom harvest is early. Davis,
    California, has 7 and 20 C in March (from memory), 2004 was far warmer."""
    usual = DAYS_AFTER_BLOOM * float(growing_degree_hours_of_days(7.0, 20.0))
    warm = DAYS_AFTER_BLOOM * float(growing_degree_hours_of_days(9.0, 24.0))
    assert 0.8 * MANY_HOURS < usual < 1.2 * MANY_HOURS < warm


MEANS = [2.0, 4.0, 8.0, 13.0, 18.0, 22.0, 25.0, 24.0, 20.0, 14.0, 8.0, 3.0]


def test_months_keep_their_means_and_the_year_closes() -> None:
    days = daily_from_monthly(MEANS, 2026)
    ends = np.cumsum([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    found = [month.mean() for month in np.split(days, ends[:-1])]
    assert np.abs(np.array(found) - MEANS).max() < 0.01
    assert np.abs(np.diff(np.append(days, days[0]))).max() < 0.5


def test_a_leap_year_has_its_day_and_unknown_months_stay_unknown() -> None:
    some = [np.nan] * 3 + MEANS[3:11] + [np.nan]
    days = daily_from_monthly(some, 2028)
    assert days.size == 366
    assert np.isnan(days[:91]).all()
    assert np.isfinite(days[91:335]).all()
    assert np.isnan(days[335:]).all()
    assert np.isnan(daily_from_monthly([np.nan] * 12, 2027)).all()


def year(
    mean_c: float = 11.0, half_k: float = 11.0
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """A year that is coldest on day 20 and warmest half a year later."""
    return np.asarray(mean_c - half_k * np.cos(2.0 * np.pi * (np.arange(330) - 20.0) / 365.0))


def test_it_begins_where_the_curve_passes_the_threshold() -> None:
    # 11 C is passed a quarter of a year after the coldest day.
    assert warm_from(year(), 11.0) == pytest.approx(20.0 + 365.0 / 4.0, abs=1.0)
    # arccos((11 - 14) / 11) of a year of 2 pi after it.
    assert warm_from(year(), 14.0) == pytest.approx(20.0 + 365.0 * 1.847 / (2 * np.pi), abs=1.0)


def test_a_warm_week_in_winter_is_no_spring() -> None:
    warm = year()
    warm[40:47] = 16.0
    assert warm_from(warm, 14.0) == warm_from(year(), 14.0)


def test_what_cannot_be_told_is_nan() -> None:
    assert np.isnan(warm_from(np.full(330, np.nan), 14.0))
    assert np.isnan(warm_from(year() + 30.0, 14.0))
    gap = year()
    gap[115:140] = np.nan
    assert np.isnan(warm_from(gap, 14.0))
    gap[130:140] = year()[130:140]
    later = year()
    later[:60] = np.nan
    assert warm_from(later, 14.0) == warm_from(year(), 14.0)

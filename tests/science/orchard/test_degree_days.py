"""Degree days against the University of California's and plain summing."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.orchard.degree_days import degree_days
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

"""Degree days against the University of California's, worked examples and plain summing."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.orchard.degree_days import Cutoff, Method, degree_days
from ripenroom.science.softening import Floats, FloatsLike
from tests.draws import draws

TABLE = Path(__file__).parent / "degree_days_f.csv"
LOWER_F, UPPER_F = 50.0, 70.0

WAVES: tuple[Method, ...] = ("sine", "triangle")
CUTOFFS: tuple[Cutoff, ...] = ("horizontal", "vertical", "intermediate")


def c(fahrenheit: FloatsLike) -> Floats:
    """Temperatures in Celsius."""
    return np.asarray((np.asarray(fahrenheit, float) - 32.0) / 1.8)


@pytest.mark.parametrize("method", WAVES)
@pytest.mark.parametrize("cutoff", CUTOFFS)
def test_the_university_of_californias_days_come_out(method: Method, cutoff: Cutoff) -> None:
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    table = np.genfromtxt(lines, delimiter=",", names=True)
    low, high = c(table["lowest"]), c(table["highest"])
    found = 1.8 * degree_days(low, high, c(LOWER_F), c(UPPER_F), method, cutoff)
    # They are printed to a hundredth.
    assert np.abs(found - table[f"{method}_{cutoff}"]).max() <= 0.0051


def test_worked_examples_of_averages() -> None:
    """Oregon State University, degree-days FAQ (ippc2.orst.edu/wea/weafaq.html): 100 and 40 F over
    50 F are 20, and 18 as for maize with 86 F above. Western Regional Climate Center, growing
    degree days: 95 and 51 F over 60 F are 13. Cornell, Your NEWA: 67 and 46 F over 50 F are 6.5."""
    assert 1.8 * degree_days(c(40), c(100), c(50), method="average") == pytest.approx(20.0)
    maize = degree_days(c(40), c(100), c(50), c(86), "clipped average")
    assert 1.8 * maize == pytest.approx(18.0)
    assert 1.8 * degree_days(c(51), c(95), c(60), method="average") == pytest.approx(13.0)
    assert 1.8 * degree_days(c(46), c(67), c(50), method="average") == pytest.approx(6.5)


TEMPERATURES = st.floats(-30.0, 45.0)


@draws(60)
@given(TEMPERATURES, TEMPERATURES, st.floats(0.0, 15.0), st.floats(0.5, 20.0))
def test_waves_summed_minute_by_minute(one: float, other: float, lower: float, span: float) -> None:
    low, high, upper = min(one, other), max(one, other), lower + span
    part = (np.arange(14_400) + 0.5) / 14_400
    waves: dict[Method, np.ndarray] = {
        "sine": (low + high) / 2 + (high - low) / 2 * np.sin(2 * np.pi * part),
        "triangle": low + (high - low) * (1 - np.abs(2 * part - 1)),
    }
    for method, wave in waves.items():
        summed = {
            "horizontal": np.clip(wave, lower, upper).mean() - lower,
            "vertical": np.where(wave < upper, np.maximum(wave - lower, 0.0), 0.0).mean(),
        }
        for cutoff in CUTOFFS[:2]:
            # A whole day right at the upper threshold is neither below nor above it.
            if cutoff == "vertical" and high - low < 0.1 > abs(upper - low):
                continue
            found = float(degree_days(low, high, lower, upper, method, cutoff))
            assert found == pytest.approx(summed[cutoff], abs=0.02)


def test_a_cutoff_counts_less_the_sooner_it_stops() -> None:
    low, high = np.linspace(-5.0, 25.0, 40), np.linspace(5.0, 45.0, 40)
    for method in WAVES:
        flat, slower, none = (
            degree_days(low, high, 10.0, 22.0, method, cutoff)
            for cutoff in ("horizontal", "intermediate", "vertical")
        )
        assert (flat >= slower - 1e-12).all()
        assert (slower >= none - 1e-12).all()


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

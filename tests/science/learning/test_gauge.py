"""Likelihoods of gauge readings, and which readings are set aside."""

import numpy as np
import pytest

from ripenroom.science.learning.gauge import set_aside
from ripenroom.science.softening import firmness_n_at_age
from tests.science.learning.farms import (
    ERROR_N,
    ERROR_PART,
    FRUIT_SD,
    HIGHEST_N,
    LOWEST_N,
    by_gauge,
)

READINGS = np.array([[30.0, 24.0, 36.0, 28.0, 22.0], [6.0, 4.0, 9.0, 5.0, 7.0]])
BOTH = np.arange(2)
SD = np.full(2, FRUIT_SD)


def test_it_is_highest_where_fruit_has_the_mean_firmness() -> None:
    checks = by_gauge(READINGS)
    ages = np.linspace(-4.0, 6.0, 401)
    for check in BOTH:
        log = checks.expand(np.full(ages.size, check), ages, np.full(ages.size, FRUIT_SD)).value
        best = ages[log.argmax()]
        mean = checks.moments(np.array([check]), np.array([best]), SD[:1])[0][0]
        assert mean == pytest.approx(READINGS[check].mean(), abs=1.0)
        assert best == pytest.approx(float(checks.seeming_age(BOTH, np.zeros(2))[check]), abs=0.4)


def test_slopes_and_curvatures_are_those_of_the_value() -> None:
    checks, step, age = by_gauge(READINGS), 1e-2, np.array([-0.2, 2.4])
    here = checks.expand(BOTH, age, SD)
    older, younger = checks.expand(BOTH, age + step, SD), checks.expand(BOTH, age - step, SD)
    wider = checks.expand(BOTH, age, SD * np.exp(step))
    closer = checks.expand(BOTH, age, SD * np.exp(-step))
    assert (older.value - younger.value) / (2 * step) == pytest.approx(here.x, rel=1e-2, abs=1e-2)
    assert (older.x - younger.x) / (2 * step) == pytest.approx(here.xx, rel=1e-2, abs=1e-2)
    assert (wider.x - closer.x) / (2 * step) == pytest.approx(here.xs, rel=1e-2, abs=1e-2)
    assert (wider.s - closer.s) / (2 * step) == pytest.approx(here.ss, rel=1e-2, abs=1e-2)


def test_moments_are_those_of_simulated_fruit() -> None:
    rng = np.random.default_rng(5)
    ages = rng.normal(0.4, FRUIT_SD, 400_000)
    fruit = firmness_n_at_age(ages, HIGHEST_N, LOWEST_N)
    fruit[: fruit.size // 10] = 47.0
    mean, variance, error2 = by_gauge(READINGS, among=0.1).moments(BOTH, np.full(2, 0.4), SD)
    assert mean[0] == pytest.approx(fruit.mean(), abs=0.1)
    assert variance[0] == pytest.approx(fruit.var(), rel=0.02)
    assert error2[0] == pytest.approx(ERROR_N**2 + (ERROR_PART * mean[0]) ** 2)


def test_softer_than_expected_is_off_upwards() -> None:
    off = by_gauge(READINGS).off_by(BOTH, np.array([-1.5, 4.0]), np.full(2, 0.2), SD)
    assert off[0] > 2.0
    assert off[1] < -1.0


@pytest.mark.parametrize(
    ("readings", "kept", "apart"),
    [
        ([5.0, 8.0, 3.0, 46.0], [5.0, 8.0, 3.0], True),
        ([5.0, 8.0, 3.0, 30.0], [5.0, 8.0, 3.0, 30.0], True),
        ([46.0, 44.0, 47.0], [46.0, 44.0, 47.0], False),
        ([46.0, 44.0, 41.0, 36.0], [46.0, 44.0, 41.0, 36.0], False),
    ],
)
def test_only_what_stands_out_among_soft_fruit_is_set_aside(
    readings: list[float], kept: list[float], apart: bool
) -> None:
    found, told = set_aside(np.array(readings), 46.5, 2.5)
    assert (found.tolist(), told) == (kept, apart)


def test_the_first_are_the_first() -> None:
    assert by_gauge(READINGS).first(1).mean_n.tolist() == [28.0]

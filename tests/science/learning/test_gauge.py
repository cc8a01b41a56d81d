"""Likelihoods of gauge readings, and which readings are set aside."""

import numpy as np
import pytest
from scipy.stats import binom

from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.learning.feel import ODD_SHARE
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
SD, NONE = np.full(2, FRUIT_SD), np.zeros(2)


def test_it_is_highest_where_fruit_has_the_mean_firmness() -> None:
    checks = by_gauge(READINGS)
    ages = np.linspace(-4.0, 6.0, 401)
    for check in BOTH:
        same = np.full(ages.size, check)
        log = checks.expand(same, ages, np.full(ages.size, FRUIT_SD), 0.0 * ages).value
        best = ages[log.argmax()]
        mean = checks.moments(np.array([check]), np.array([best]), SD[:1], NONE[:1])[0][0]
        assert mean == pytest.approx(READINGS[check].mean(), abs=1.0)
        assert best == pytest.approx(float(checks.seeming_age(BOTH, np.zeros(2))[check]), abs=0.4)


@pytest.mark.parametrize("apart", [False, True])
def test_slopes_and_curvatures_are_those_of_the_value(apart: bool) -> None:
    checks, step, age = by_gauge(READINGS, 0.9, apart), 1e-2, np.array([-0.2, 2.4])

    def at(x: float, s: float, a: float) -> Expansion:
        return checks.expand(BOTH, age + x, SD * np.exp(s), np.full(2, a))

    here = at(0.0, 0.0, 0.0)
    older, younger = at(step, 0.0, 0.0), at(-step, 0.0, 0.0)
    wider, closer = at(0.0, step, 0.0), at(0.0, -step, 0.0)
    more, fewer = at(0.0, 0.0, step), at(0.0, 0.0, -step)
    assert (more.value - fewer.value) / (2 * step) == pytest.approx(here.a, rel=1e-2, abs=1e-2)
    assert (more.a - fewer.a) / (2 * step) == pytest.approx(here.aa, rel=1e-2, abs=1e-2)
    assert (more.x - fewer.x) / (2 * step) == pytest.approx(here.xa, rel=1e-2, abs=1e-2)
    assert (more.s - fewer.s) / (2 * step) == pytest.approx(here.sa, rel=1e-2, abs=1e-2)
    assert (older.value - younger.value) / (2 * step) == pytest.approx(here.x, rel=1e-2, abs=1e-2)
    assert (older.x - younger.x) / (2 * step) == pytest.approx(here.xx, rel=1e-2, abs=1e-2)
    assert (wider.x - closer.x) / (2 * step) == pytest.approx(here.xs, rel=1e-2, abs=1e-2)
    assert (wider.s - closer.s) / (2 * step) == pytest.approx(here.ss, rel=1e-2, abs=1e-2)


def test_moments_are_those_of_simulated_fruit() -> None:
    rng = np.random.default_rng(5)
    ages = rng.normal(0.4, FRUIT_SD, 400_000)
    fruit = firmness_n_at_age(ages, HIGHEST_N, LOWEST_N)
    fruit[: fruit.size // 10] = 47.0
    mean, variance, error2 = by_gauge(READINGS, 0.9).moments(BOTH, np.full(2, 0.4), SD, NONE)
    assert mean[0] == pytest.approx(fruit.mean(), abs=0.1)
    assert variance[0] == pytest.approx(fruit.var(), rel=0.02)
    assert error2[0] == pytest.approx(ERROR_N**2 + (ERROR_PART * mean[0]) ** 2)


def test_softer_than_expected_is_off_upwards() -> None:
    off = by_gauge(READINGS).off_by(BOTH, np.array([-1.5, 4.0]), np.full(2, 0.2), SD, NONE)
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


def test_fruit_set_aside_tells_how_much_can_ripen_as_a_draw_of_so_many_does() -> None:
    """scipy's binomial distribution: of seven fruit, of which nearly none reads at random, two do
    not ripen."""
    checks = by_gauge(READINGS, 0.8, apart=True)
    odds = np.array([0.5, 1.0, 2.0, 4.0])
    log = [checks.expand(BOTH, np.full(2, 1.0), SD, np.full(2, np.log(o))).value[0] for o in odds]
    never = 1.0 / (1.0 + 4.0 * odds)
    expected = binom.logpmf(2, 7, ODD_SHARE / 2.0 + (1.0 - ODD_SHARE) * never)
    assert np.diff(log) == pytest.approx(np.diff(expected))


def test_the_first_are_the_first() -> None:
    assert by_gauge(READINGS).some(slice(1)).mean_n.tolist() == [28.0]

"""Fits give back the parameters that points were made from, and say how sure they are."""

import math

import numpy as np
import pytest

from ripenroom.science.softening import Floats
from ripenroom.science.temperature import Response
from tests.fits.fitting import Line, fit_line

HEAT = (28.0, 260.0)


def plain(slope: float) -> Response:
    return Response(20.0, slope)


def with_heat(slope: float) -> Response:
    return Response(20.0, slope, *HEAT)


def made(response: Response, celsius: list[float], per_day: float = 0.8) -> tuple[Floats, Floats]:
    at = np.array(celsius)
    return at, per_day * response.relative_rate(at)


@pytest.mark.parametrize("slope", [30.0, 85.0, 160.0])
def test_exact_points_give_back_speed_and_activation_energy(slope: float) -> None:
    line = fit_line(*made(plain(slope), [5.0, 12.0, 20.0, 25.0]), plain, 50.0)
    assert math.exp(line.log_speed.value) == pytest.approx(0.8, rel=1e-6)
    assert line.slope is not None
    assert line.slope.value == pytest.approx(slope, rel=1e-6)
    assert line.per_day(12.0) == pytest.approx(0.8 * float(plain(slope).relative_rate(12.0)))


def test_the_heat_limit_is_kept_and_not_taken_for_a_smaller_slope() -> None:
    points = made(with_heat(100.0), [10.0, 15.0, 20.0, 25.0, 30.0])
    right, wrong = fit_line(*points, with_heat, 50.0), fit_line(*points, plain, 50.0)
    assert right.slope is not None
    assert wrong.slope is not None
    assert right.slope.value == pytest.approx(100.0, rel=1e-6)
    assert wrong.slope.value < 80.0


def test_points_of_about_one_temperature_keep_the_slope_that_is_given() -> None:
    assert fit_line(np.array([10.0, 11.0]), np.array([0.2, 0.1]), plain, 90.0).slope is None
    line = fit_line(np.array([10.0, 10.0]), np.array([0.2, 0.45]), plain, 90.0)
    assert line.slope is None
    at_10 = float(plain(90.0).relative_rate(10.0))
    assert math.exp(line.log_speed.value) * at_10 == pytest.approx(0.3, rel=1e-6)


def test_as_many_points_as_unknowns_leave_no_scatter() -> None:
    line = fit_line(*made(plain(70.0), [10.0, 20.0]), plain, 50.0)
    assert math.isnan(line.log_speed.sd)
    assert math.isnan(line.log_speed.high)
    one = fit_line(np.array([15.0]), np.array([0.5]), plain, 50.0)
    assert one.slope is None
    assert math.isnan(one.log_speed.low)


def scattered(draw: np.random.Generator, temperatures: list[float]) -> Line:
    celsius, per_day = made(plain(85.0), temperatures)
    return fit_line(celsius, per_day * np.exp(draw.normal(0.0, 0.2, celsius.size)), plain, 50.0)


@pytest.mark.parametrize("temperatures", [[8.0, 14.0, 20.0, 26.0], [12.5, 12.5, 20.0, 20.0, 25.0]])
def test_ranges_cover_80_percent_of_scattered_points(temperatures: list[float]) -> None:
    """2,000 tables with an error of a fifth in every duration; sampling error (sd) 0.9 %."""
    draw = np.random.default_rng(11)
    covered = np.zeros(2)
    for _ in range(2000):
        line = scattered(draw, temperatures)
        assert line.slope is not None
        covered += (
            line.log_speed.low <= math.log(0.8) <= line.log_speed.high,
            line.slope.low <= 85.0 <= line.slope.high,
        )
    assert (covered / 2000.0).tolist() == pytest.approx([0.8, 0.8], abs=0.03)

"""Units: exact constants, there and back, and differences that are not temperatures."""

import math
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom import units

anything = st.floats(-1e6, 1e6, allow_nan=False)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [
        # NIST Special Publication 811 (2008), appendix B.8: exact by definition.
        ("kgf", 9.80665),
        ("lbf", 4.4482216152605),
    ],
)
def test_one_unit_of_force_is_the_published_number_of_newtons(
    unit: units.ForceUnit, factor: float
) -> None:
    assert units.newtons(1.0, unit) == factor


def test_a_pound_force_is_a_pound_under_standard_gravity() -> None:
    # NIST SP 811: 1 lb = 0.453 592 37 kg and g_n = 9.806 65 m/s2, both exact.
    assert units.newtons(1.0, "lbf") == pytest.approx(0.45359237 * 9.80665, rel=1e-15)
    assert units.newtons(1.0, "kgf") == 9.80665


def test_a_pound_is_the_published_number_of_kilograms() -> None:
    assert units.kilograms(1.0, "lb") == 0.45359237


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0)])
def test_fixed_points_of_temperature(fahrenheit: float, celsius: float) -> None:
    assert units.celsius(fahrenheit, "F") == pytest.approx(celsius, abs=1e-12)
    assert units.temperature_in(celsius, "F") == pytest.approx(fahrenheit, abs=1e-12)


@given(anything, st.sampled_from(get_args(units.ForceUnit)))
def test_force_there_and_back(value: float, unit: units.ForceUnit) -> None:
    assert units.force_in(units.newtons(value, unit), unit) == pytest.approx(value, rel=1e-14)


@given(anything, st.sampled_from(get_args(units.MassUnit)))
def test_mass_there_and_back(value: float, unit: units.MassUnit) -> None:
    assert units.mass_in(units.kilograms(value, unit), unit) == pytest.approx(value, rel=1e-14)


@given(anything, st.sampled_from(get_args(units.TemperatureUnit)))
def test_temperature_there_and_back(value: float, unit: units.TemperatureUnit) -> None:
    back = units.temperature_in(units.celsius(value, unit), unit)
    # Adding and taking away 32 rounds at the size of 32, however small the value.
    assert back == pytest.approx(value, rel=1e-14, abs=1e-13)


@given(anything)
def test_difference_there_and_back(value: float) -> None:
    back = units.fahrenheit_degrees_from_kelvins(units.kelvins_from_fahrenheit_degrees(value))
    assert back == pytest.approx(value, rel=1e-14)


@given(st.floats(-60, 160), st.floats(-60, 160))
def test_a_difference_converts_like_the_temperatures_it_lies_between(a: float, b: float) -> None:
    between = units.celsius(a, "F") - units.celsius(b, "F")
    assert units.kelvins_from_fahrenheit_degrees(a - b) == pytest.approx(between, abs=1e-12)


def test_a_swing_of_nine_fahrenheit_degrees_is_five_kelvins_not_minus_thirteen_celsius() -> None:
    assert units.kelvins_from_fahrenheit_degrees(9.0) == pytest.approx(5.0, abs=1e-12)
    assert units.celsius(9.0, "F") == pytest.approx(-12.78, abs=0.01)


def test_absolute_zero() -> None:
    # NIST SP 811, section 4.2.1.1: t/degC = T/K - 273.15, exact.
    assert units.KELVIN_AT_0_C == 273.15
    assert units.celsius(-459.67, "F") == pytest.approx(-units.KELVIN_AT_0_C, abs=1e-12)


@given(st.floats(1.1, 6.0), st.floats(-2, 20), st.floats(1, 25))
def test_activation_energy_gives_back_its_q10(q10: float, low_c: float, step_k: float) -> None:
    high_c = low_c + step_k
    joules = 1_000 * units.activation_kj_mol_from_q10(q10, low_c, high_c)
    reciprocal_per_k = 1 / (low_c + 273.15) - 1 / (high_c + 273.15)
    growth = math.exp(joules / 8.31446261815324 * reciprocal_per_k)  # R: CODATA 2018, exact
    assert growth == pytest.approx(q10 ** (step_k / 10), rel=1e-9)


def test_no_activation_energy_for_a_rate_that_vanishes() -> None:
    with pytest.raises(ValueError, match="a Q10 is positive"):
        units.activation_kj_mol_from_q10(0.0, 0.0, 10.0)

"""Conversions between the units growers read and the units the program keeps.

Kept inside: degrees Celsius, newtons, kilograms, hours. A temperature *difference* is not a
temperature: use :func:`kelvins_from_fahrenheit_degrees` for swings and tolerances.
"""

import math
from typing import Final, Literal

ForceUnit = Literal["N", "kgf", "lbf"]
TemperatureUnit = Literal["C", "F"]
MassUnit = Literal["kg", "lb"]

KELVIN_AT_0_C: Final = 273.15

GAS_CONSTANT_J_MOL_K: Final = 8.31446261815324
"""Molar gas constant, exact since the 2019 SI (CODATA 2018)."""

NEWTONS_PER: Final[dict[ForceUnit, float]] = {
    "N": 1.0,
    "kgf": 9.80665,  # exact: NIST SP 811, appendix B.8
    "lbf": 4.4482216152605,  # exact: NIST SP 811, appendix B.8
}
"""Newtons in one unit of force."""

KILOGRAMS_PER: Final[dict[MassUnit, float]] = {
    "kg": 1.0,
    "lb": 0.45359237,  # exact: NIST SP 811, appendix B.8
}
"""Kilograms in one unit of mass."""


def newtons(value: float, unit: ForceUnit) -> float:
    """Force in newtons of ``value`` read in ``unit``."""
    return value * NEWTONS_PER[unit]


def force_in(newton: float, unit: ForceUnit) -> float:
    """Force in ``unit`` of ``newton`` newtons."""
    return newton / NEWTONS_PER[unit]


def celsius(value: float, unit: TemperatureUnit) -> float:
    """Temperature in degrees Celsius of ``value`` read in ``unit``."""
    return value if unit == "C" else (value - 32.0) / 1.8


def temperature_in(celsius_value: float, unit: TemperatureUnit) -> float:
    """Temperature in ``unit`` of ``celsius_value`` degrees Celsius."""
    return celsius_value if unit == "C" else celsius_value * 1.8 + 32.0


def kelvins_from_fahrenheit_degrees(difference: float) -> float:
    """A temperature difference in kelvins of one in Fahrenheit degrees."""
    return difference / 1.8


def fahrenheit_degrees_from_kelvins(difference: float) -> float:
    """A temperature difference in Fahrenheit degrees of one in kelvins."""
    return difference * 1.8


def kilograms(value: float, unit: MassUnit) -> float:
    """Mass in kilograms of ``value`` weighed in ``unit``."""
    return value * KILOGRAMS_PER[unit]


def mass_in(kilogram: float, unit: MassUnit) -> float:
    """Mass in ``unit`` of ``kilogram`` kilograms."""
    return kilogram / KILOGRAMS_PER[unit]


def activation_kj_mol_from_q10(q10: float, low_c: float, high_c: float) -> float:
    """Activation energy [kJ/mol] that a ``q10`` [1] between two temperatures [C] stands for.

    A Q10 says that the rate grew by ``q10 ** ((high_c - low_c) / 10)`` from ``low_c`` to
    ``high_c``; the Arrhenius line through the same two points has
    ``E = R ln(q10) T_low T_high / 10`` with temperatures in kelvins. The conversion is exact at
    those two temperatures and nowhere else, which is why the interval is asked for.

    Raises ``ValueError`` for a ``q10`` that is not positive.

    >>> round(activation_kj_mol_from_q10(2.0, 10.0, 20.0), 2)
    47.84
    """
    if q10 <= 0.0:
        raise ValueError("a Q10 is positive")
    low_k, high_k = low_c + KELVIN_AT_0_C, high_c + KELVIN_AT_0_C
    return GAS_CONSTANT_J_MOL_K * math.log(q10) * low_k * high_k / 10.0 / 1000.0

"""Conversions between the units growers read and the units the program keeps.

Kept inside: degrees Celsius, newtons, kilograms, hours. A temperature *difference* is not a
temperature: use :func:`kelvins_from_fahrenheit_degrees` for swings and tolerances.
"""

from typing import Final, Literal

ForceUnit = Literal["N", "kgf", "lbf"]
TemperatureUnit = Literal["C", "F"]
MassUnit = Literal["kg", "lb"]

KELVIN_AT_0_C: Final = 273.15

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

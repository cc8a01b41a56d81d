"""How temperature speeds or slows ripening.

Arrhenius below, with the reversible high-temperature shut-down of Schoolfield, Sharpe & Magnuson
(1981, J. Theor. Biol. 88:719-731; cited from memory), without that paper's linear factor
T / 298 K so that "activation energy" keeps its plain meaning. The response is 1 at the reference
temperature whatever the parameters.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from ripenroom.science.clock import Indices, RateOfTemperature
from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.units import GAS_CONSTANT_J_MOL_K, KELVIN_AT_0_C

_GAS_CONSTANT_KJ = GAS_CONSTANT_J_MOL_K / 1000.0


@dataclass(frozen=True, slots=True)
class Response:
    """Relative rate as a function of temperature; 1 at ``reference_c`` (degrees Celsius).

    ``activation_kj_mol`` is the Arrhenius slope (kJ/mol). The rate falls below that line, to half
    of it (before normalising) at ``heat_midpoint_c`` with energy ``heat_kj_mol``; an energy of 0
    means no shut-down.
    """

    reference_c: float
    activation_kj_mol: float
    heat_midpoint_c: float = 40.0
    heat_kj_mol: float = 0.0

    def relative_rate(self, celsius: FloatsLike) -> Floats:
        """A(T) [-] at temperatures in degrees Celsius, any shape."""
        inverse_k = 1.0 / (np.asarray(celsius, float) + KELVIN_AT_0_C)
        at_reference = _inverse_k(self.reference_c)
        slope = self.activation_kj_mol / _GAS_CONSTANT_KJ
        rate = np.exp(slope * (at_reference - inverse_k))
        if not self.heat_kj_mol:
            return np.asarray(rate)
        heat = self.heat_kj_mol / _GAS_CONSTANT_KJ
        midpoint = _inverse_k(self.heat_midpoint_c)
        whole = 1.0 + np.exp(heat * (midpoint - at_reference))
        # Far above the midpoint the rate is 0 long before the exponential could overflow.
        return np.asarray(
            rate * whole / (1.0 + np.exp(np.minimum(heat * (midpoint - inverse_k), 600.0)))
        )

    def slope_per_kj_mol(self, celsius: FloatsLike) -> Floats:
        """d ln A / d activation_kj_mol [mol/kJ] at temperatures in degrees Celsius.

        Tells how an uncertain activation energy makes the rate uncertain away from the reference.
        """
        return np.asarray((_inverse_k(self.reference_c) - _inverse_k(celsius)) / _GAS_CONSTANT_KJ)


@dataclass(frozen=True, slots=True)
class TabulatedResponse:
    """Relative rates as published at increasing ``temperature_c`` (C), 1 at the reference.

    For crops whose literature is not Arrhenius. ``ln A`` runs straight between the temperatures
    and level outside them.
    """

    temperature_c: tuple[float, ...]
    rate: tuple[float, ...]

    def relative_rate(self, celsius: FloatsLike) -> Floats:
        """A(T) [-] at temperatures in degrees Celsius, any shape."""
        log_rate = np.log(self.rate)
        return np.asarray(
            np.exp(np.interp(np.asarray(celsius, float), self.temperature_c, log_rate))
        )

    def slope_per_kj_mol(self, celsius: FloatsLike) -> Floats:
        """0: a table has no slope to be in doubt; the doubt is that of its speeds."""
        return np.zeros(np.shape(celsius))


@dataclass(frozen=True, slots=True)
class DoubtfulQ10:
    """A rate that grows ``q10`` times with every 10 C, 1 at ``reference_c`` (C), and its doubt.

    ``q10_log_sd`` is the sd of the log of ``q10``, ``log_sd`` that of the log of the rate at the
    reference; the two are independent.
    """

    q10: float
    q10_log_sd: float
    reference_c: float
    log_sd: float

    def relative_rate_at(self, z: float) -> Callable[[Floats], Floats]:
        """The relative rate by temperature (C), so many sds of its log from the middle."""
        log_q10 = math.log(self.q10)

        def at(celsius: Floats) -> Floats:
            tens_k = (celsius - self.reference_c) / 10.0
            log_sd = np.hypot(self.log_sd, tens_k * self.q10_log_sd)
            return np.asarray(np.exp(tens_k * log_q10 + z * log_sd))

        return at


AnyResponse: TypeAlias = Response | TabulatedResponse


def _inverse_k(celsius: FloatsLike) -> Floats:
    return np.asarray(1.0 / (np.asarray(celsius, float) + KELVIN_AT_0_C))


@dataclass(frozen=True, slots=True)
class Process:
    """One process of a crop: softening, ripe life, chilling, ...

    ``rate_per_day`` is smooth, but from ``none_from_c`` (C) on it is 0: the threshold above which
    nothing is chilled.
    """

    rate_per_day: RateOfTemperature
    none_from_c: float = math.inf


def rates_of(processes: Sequence[Process], which: Indices, celsius: Floats) -> Floats:
    """Rates at ``celsius`` (n, k), line ``i`` by ``processes[which[i]]``.

    Loops over crops, never over lines.
    """
    rates = np.empty(celsius.shape)
    for number, mine in _alike(which, len(processes)):
        rates[mine] = processes[number].rate_per_day(celsius[mine])
    return rates


def _alike(which: Indices, most: int) -> Iterator[tuple[int, Indices | slice]]:
    """Each number with the lines that have it: as a stretch where lines come sorted, as mostly they
    do, and there are ``most`` stretches or fewer."""
    ends = np.append(np.flatnonzero(np.diff(which)) + 1, which.size)
    if ends.size <= most:
        begin = 0
        for end in ends.tolist() if which.size else ():
            yield int(which[begin]), slice(begin, end)
            begin = end
    else:
        for number in np.unique(which).tolist():
            yield number, np.flatnonzero(which == number)

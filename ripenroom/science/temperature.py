"""How temperature speeds or slows ripening.

Arrhenius below, with the reversible high-temperature shut-down of Schoolfield, Sharpe & Magnuson
(1981, J. Theor. Biol. 88:719-731; cited from memory), without that paper's linear factor
T / 298 K so that "activation energy" keeps its plain meaning. The response is 1 at the reference
temperature whatever the parameters.
"""

import math
from dataclasses import dataclass

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.units import KELVIN_AT_0_C

GAS_CONSTANT_KJ = 8.31446261815324e-3
"""Molar gas constant, kJ/(mol K); exact since the 2019 SI (NIST CODATA)."""


@dataclass(frozen=True, slots=True)
class Response:
    """Relative rate as a function of temperature; 1 at ``reference_c`` (degrees Celsius).

    ``activation_kj_mol`` is the Arrhenius slope (kJ/mol). With ``heat_midpoint_c`` the rate falls
    below that line, to half of it (before normalising) at the midpoint, with energy
    ``heat_kj_mol``.
    """

    reference_c: float
    activation_kj_mol: float
    heat_midpoint_c: float | None = None
    heat_kj_mol: float = 0.0

    def relative_rate(self, celsius: FloatsLike) -> Floats:
        """A(T) [-] at temperatures in degrees Celsius, any shape."""
        inverse_k = 1.0 / (np.asarray(celsius, float) + KELVIN_AT_0_C)
        at_reference = 1.0 / (self.reference_c + KELVIN_AT_0_C)
        slope = self.activation_kj_mol / GAS_CONSTANT_KJ
        rate = np.exp(slope * (at_reference - inverse_k))
        if self.heat_midpoint_c is not None:
            midpoint = 1.0 / (self.heat_midpoint_c + KELVIN_AT_0_C)
            heat = self.heat_kj_mol / GAS_CONSTANT_KJ
            rate *= 1.0 + math.exp(heat * (midpoint - at_reference))
            # Far above the midpoint the exponential overflows to inf: the rate is then 0, as meant.
            with np.errstate(over="ignore"):
                rate /= 1.0 + np.exp(heat * (midpoint - inverse_k))
        return np.asarray(rate)

    def slope_per_kj_mol(self, celsius: FloatsLike) -> Floats:
        """d ln A / d activation_kj_mol [mol/kJ] at temperatures in degrees Celsius.

        Tells how an uncertain activation energy makes the rate uncertain away from the reference.
        """
        inverse_k = 1.0 / (np.asarray(celsius, float) + KELVIN_AT_0_C)
        return np.asarray((1.0 / (self.reference_c + KELVIN_AT_0_C) - inverse_k) / GAS_CONSTANT_KJ)

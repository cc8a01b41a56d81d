"""How temperature speeds or slows ripening.

Arrhenius below, with the reversible high-temperature shut-down of Schoolfield, Sharpe & Magnuson
(1981, J. Theor. Biol. 88:719-731; cited from memory), without that paper's linear factor
T / 298 K so that "activation energy" keeps its plain meaning. The response is 1 at the reference
temperature whatever the parameters.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.units import GAS_CONSTANT_J_MOL_K, KELVIN_AT_0_C

_GAS_CONSTANT_KJ = GAS_CONSTANT_J_MOL_K / 1000.0


@dataclass(frozen=True, slots=True)
class Response:
    """Relative rate as a function of temperature; 1 at ``reference_c`` (degrees Celsius).

    ``activation_kj_mol`` is the Arrhenius slope (kJ/mol). The rate falls below that line, to half
    of it (before normalising) at ``heat_midpoint_c`` with energy ``heat_kj_mol``; an energy of 0
    means no shut-down. Every field may also be an array, for many crops at once.
    """

    reference_c: FloatsLike
    activation_kj_mol: FloatsLike
    heat_midpoint_c: FloatsLike = 40.0
    heat_kj_mol: FloatsLike = 0.0

    def relative_rate(self, celsius: FloatsLike) -> Floats:
        """A(T) [-] at temperatures in degrees Celsius; shapes broadcast with the fields."""
        inverse_k = 1.0 / (np.asarray(celsius, float) + KELVIN_AT_0_C)
        at_reference = _inverse_k(self.reference_c)
        slope = np.asarray(self.activation_kj_mol, float) / _GAS_CONSTANT_KJ
        rate = np.exp(slope * (at_reference - inverse_k))
        heat = np.asarray(self.heat_kj_mol, float) / _GAS_CONSTANT_KJ
        if not heat.any():
            return np.asarray(rate)
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


def stacked(responses: Sequence[Response]) -> Response:
    """One response with array fields, a line per crop; see :func:`lines_of`."""
    return Response(
        *(
            np.array([getattr(response, f.name) for response in responses], float)
            for f in fields(Response)
        )
    )


def lines_of(stack: Response, lines: npt.NDArray[np.intp]) -> Response:
    """The given lines of a stacked response, as columns of shape (lines, 1)."""
    return Response(*(np.asarray(getattr(stack, f.name))[lines][:, None] for f in fields(Response)))


def _inverse_k(celsius: FloatsLike) -> Floats:
    return np.asarray(1.0 / (np.asarray(celsius, float) + KELVIN_AT_0_C))

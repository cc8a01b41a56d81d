"""How far fruit ripens in the kitchen of whoever bought it.

A kitchen has 20 C (68 F): produce guides put room temperature at 65 to 75 F (Oregon State
University Extension on pears, as quoted by growers), and ripening trials are done at 20 C. There a
fruit lies by itself, in still air, and its pulp follows with a half-cooling time of some 2 h (an
estimate: small fruit needs one hour, large fruit three). With ``T_k`` the
kitchen's temperature, ``d`` how much warmer the pulp is when it is sold, and ``A`` the rate of a
process, the days gained in ``D`` days are, as for any move to a steady place
(:mod:`ripenroom.science.lag`),

    A(T_k) D + z / ln 2 * integral from x(D) to 1 of [A(T_k + d x) - A(T_k)] / x dx

with ``x(D) = 2 ** (-D / z)``, taken by 8-point Gauss-Legendre: exact to 1e-6 reference days for
pulp of -1 to 30 C.
"""

import math

import numpy as np
from numpy.polynomial import legendre

from ripenroom.science.air import DAY_H
from ripenroom.science.clock import RateOfTemperature
from ripenroom.science.softening import Floats, FloatsLike

KITCHEN_C = 20.0
HALF_COOLING_H = 2.0

_NODES, _WEIGHTS = legendre.leggauss(8)
_FROM_0_TO_1 = (1.0 + _NODES) / 2.0


def days_gained(rate: RateOfTemperature, pulp_c: FloatsLike, days: FloatsLike) -> Floats:
    """Days at unit rate gained within ``days`` by fruit of one crop sold at ``pulp_c`` (C).

    The arguments broadcast; ``days`` are 0 or more.
    """
    warmer_k, within = np.broadcast_arrays(
        np.asarray(pulp_c, float) - KITCHEN_C, np.asarray(days, float)
    )
    settled = rate(np.array(KITCHEN_C))
    left = np.exp2(within * (-DAY_H / HALF_COOLING_H))[..., None]
    at = left + (1.0 - left) * _FROM_0_TO_1
    more = rate(KITCHEN_C + warmer_k[..., None] * at) - settled
    whole = (more / at) @ (_WEIGHTS / 2.0) * (1.0 - left[..., 0])
    return np.asarray(settled * within + whole * (HALF_COOLING_H / (math.log(2.0) * DAY_H)))

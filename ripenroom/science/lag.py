"""What pulp that arrives warmer or colder adds to a place's clock until it has settled.

With settled pulp ``T_s`` and a difference ``d`` on arrival, the ageing beyond the clock up to time
t is

    z / ln 2 * integral from x(t) to 1 of g(x) dx,   g(x) = [A(T_s + d x) - A(T_s)] / x,
    x(t) = 2 ** (-t / z)

The whole integral (``x = 0``) is taken by 8-point Gauss-Legendre. Up to any other time the
polynomial through the same eight values of ``g`` is integrated, so a look-up needs no exponential.
At a steady place the first is exact to 2e-7 reference days and the second to 2e-5, as long as fruit
and place stay between 0 and 26 C (3e-6 and 3e-4 up to 30 C; for half-cooling times of 6 h and crops
that heat slows from about 27 C). Where the settled pulp itself swings both are rougher: 0.003 for a
swing of 4 K and a half-cooling time of 6 h, 0.02 for 8 K and 12 h, which is half an hour at the
reference temperature.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

from ripenroom.science.air import DAY_H, Air
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays, pulp_differences_k, settled_pulp_c
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import AnyResponse, rates_of

_ORDER = 8
_NODES, _WEIGHTS = legendre.leggauss(_ORDER)
_LEFT_AT_NODES = (1.0 + _NODES) / 2.0

# Legendre coefficients (down the columns) of the polynomials that are 1 at one node and 0 at the
# others, and of their integrals from x to 1 (half of those over the Legendre variable).
_BASIS = np.asarray(np.linalg.inv(legendre.legvander(_NODES, _ORDER - 1)), float)
_INTEGRAL = np.asarray(legendre.legint(_BASIS, lbnd=1.0) / -2.0, float)

LEAST_DIFFERENCE_K = 0.1
"""A difference below this is settled: what it still adds moves no date by more than minutes."""


@dataclass(frozen=True, slots=True)
class Lag:
    """The lag of every stay. Made by :meth:`of_stays`; tables of shape (batches, most stays).

    ``difference_k`` (K) on arrival, ``half_cooling_h``, ``over_h`` (hours until the difference is
    gone) and ``whole`` (reference days by the end of the stay). With a first axis for Legendre
    coefficients: ``gain``, of ``z / ln 2 / 24`` times g, and ``integral``, of its integral.
    """

    difference_k: Floats
    half_cooling_h: Floats
    over_h: Floats
    gain: Floats
    integral: Floats
    whole: Floats

    @classmethod
    def of_stays(
        cls,
        stays: Stays,
        airs: Sequence[Air],
        pulp_at_pick_c: Floats,
        responses: Sequence[AnyResponse],
        crop: Indices,
    ) -> "Lag":
        """Lags along ``stays``; ``crop`` (batches,) picks each batch's of ``responses``."""
        difference = pulp_differences_k(stays, airs, pulp_at_pick_c)
        half_cooling = np.array([air.half_cooling_h for air in airs])[stays.place]
        least = LEAST_DIFFERENCE_K
        over = half_cooling * np.log2(np.maximum(np.abs(difference), least) / least)
        length = stays.end_h - stays.start_h
        batch, stay = np.nonzero((over > 0.0) & (length > 0.0))
        own = half_cooling[batch, stay][:, None]
        at = stays.start_h[batch, stay][:, None] - own * np.log2(_LEFT_AT_NODES)
        settled = settled_pulp_c(stays.place[batch, stay], at, airs)
        arrived = settled + difference[batch, stay][:, None] * _LEFT_AT_NODES
        which = crop[batch]
        more = rates_of(responses, which, arrived) - rates_of(responses, which, settled)
        at_nodes = np.asarray(more / _LEFT_AT_NODES * (own / (math.log(2.0) * DAY_H)), float)
        gain = np.zeros((_ORDER, *difference.shape))
        gain[:, batch, stay] = _times_nodes(_BASIS, at_nodes)
        integral = np.zeros((_ORDER + 1, *difference.shape))
        integral[:, batch, stay] = _times_nodes(_INTEGRAL, at_nodes)
        whole = np.zeros(difference.shape)
        whole[batch, stay] = at_nodes @ (_WEIGHTS / 2.0)
        lag = cls(difference, half_cooling, over, gain, integral, whole)
        short = length[batch, stay] < over[batch, stay]
        batch, stay = batch[short], stay[short]
        whole[batch, stay] = lag.so_far(batch, stay, length[batch, stay])
        return lag

    def of(self, lines: Indices | slice) -> "Lag":
        """The lags of some batches only, which may repeat."""
        return Lag(
            self.difference_k[lines],
            self.half_cooling_h[lines],
            self.over_h[lines],
            self.gain[:, lines],
            self.integral[:, lines],
            self.whole[lines],
        )

    def left(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Share of the difference that is left ``since_h`` hours into the named stays, (n,)."""
        return np.asarray(np.exp2(-since_h / self.half_cooling_h[batch, stay]))

    def so_far(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Reference days beyond the clock ``since_h`` hours into the named stays, (n,)."""
        at = 2.0 * self.left(batch, stay, since_h) - 1.0
        return np.asarray(legendre.legval(at, self.integral[:, batch, stay], tensor=False))

    def pace(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """How fast :meth:`so_far` grows, in reference days per hour, (n,)."""
        left = self.left(batch, stay, since_h)
        per_left = legendre.legval(2.0 * left - 1.0, self.gain[:, batch, stay], tensor=False)
        return np.asarray(per_left * left * (math.log(2.0) / self.half_cooling_h[batch, stay]))


def _times_nodes(matrix: Floats, at_nodes: Floats) -> Floats:
    """``matrix @ at_nodes.T`` without BLAS, whose threads cost more than so thin a product."""
    return np.asarray(np.einsum("ij,nj->in", matrix, at_nodes))

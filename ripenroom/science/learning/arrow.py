"""A matrix shaped like an arrowhead: one diagonal entry for each harvest, and a small dense tip.

Harvests do not touch one another, only the few shared unknowns, and of those each touches a few.
So all that is done with the matrix costs as much as there are harvests.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats


@dataclass(frozen=True)
class ArrowheadMatrix:
    """``diagonal`` (harvests,), ``side`` (harvests, k) in the columns ``own`` (harvests, k) of the
    tip, ``tip`` (shared, shared). Symmetric; raises ``LinAlgError`` when it is solved and is not
    :attr:`solvable`."""

    diagonal: Floats
    side: Floats
    own: Indices
    tip: Floats

    @cached_property
    def _factor(self) -> tuple[Floats, bool]:
        if (self.diagonal <= 0.0).any():
            raise np.linalg.LinAlgError("not positive definite")
        rest = self.tip.copy()
        lost = np.einsum("hi,hj->hij", self.side, self.side / self.diagonal[:, None])
        np.subtract.at(rest, (self.own[:, :, None], self.own[:, None, :]), lost)
        return cho_factor(rest)

    @cached_property
    def solvable(self) -> bool:
        """Whether it is positive definite."""
        try:
            _ = self._factor
        except np.linalg.LinAlgError:
            return False
        return True

    @cached_property
    def tip_covariance(self) -> Floats:
        """Inverse, as far as the tip goes."""
        return np.asarray(cho_solve(self._factor, np.eye(self.tip.shape[0])))

    def solve(self, of_harvests: Floats, of_tip: Floats) -> tuple[Floats, Floats]:
        """The matrix's inverse times a vector, in its two parts."""
        right = of_tip.copy()
        np.subtract.at(right, self.own, self.side * (of_harvests / self.diagonal)[:, None])
        tip = np.asarray(cho_solve(self._factor, right))
        back = np.einsum("hi,hi->h", self.side, tip[self.own])
        return (of_harvests - back) / self.diagonal, tip

    def covariances(self) -> Floats:
        """Of each harvest's own unknown and its k shared ones, shape (harvests, 1 + k, 1 + k)."""
        shared = self.tip_covariance[self.own[:, :, None], self.own[:, None, :]]
        lean = -self.side / self.diagonal[:, None]
        cross = np.einsum("hi,hij->hj", lean, shared)
        size = 1 + self.own.shape[1]
        found = np.empty((self.diagonal.size, size, size))
        found[:, 1:, 1:] = shared
        found[:, 0, 1:] = found[:, 1:, 0] = cross
        found[:, 0, 0] = 1.0 / self.diagonal + np.einsum("hi,hi->h", cross, lean)
        return found

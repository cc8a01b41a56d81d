"""What a check of one batch is worth to the others of its cultivar: it tells how fast they soften.

A check tells how old fruit is. How far that is off says something of its cultivar's rate, the more
of the age was gained since it was known best: fruit that stood in the warm tells much, fruit out of
the cold next to nothing, and a rate that is known already leaves little to tell.
"""

import numpy as np

from ripenroom.planning.prospects import Prospects
from ripenroom.science.check_design import rates_believed
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.plans.input import PlanningInput

_RATE_Z = np.linspace(-3.0, 3.0, 13)
"""Rates that are told apart, in sds of their log from the middle."""

_AGE_Z, _AGE_COUNTS = np.polynomial.hermite_e.hermegauss(3)
_AGE_COUNTS = _AGE_COUNTS / _AGE_COUNTS.sum()
_FOUND_Z, _FOUND_COUNTS = np.polynomial.hermite_e.hermegauss(7)
_FOUND_COUNTS = _FOUND_COUNTS / _FOUND_COUNTS.sum()

_TELLS_NOTHING = 0.02
"""Below such a correlation nothing is learned of a rate."""

_RHO_DIGITS = 2
"""Correlations are told apart to a hundredth: what is gained is worked out once for each, and not
once for each batch of a large farm."""


class PaceTaught:
    """The batches of a ground by cultivar, and what their ways bring at each rate.

    ``selling`` are the ways that go to a want, as ``prospects`` look at them; a fruit brings
    ``price`` (minor units) on each way and a crate costs ``charge``.
    """

    def __init__(
        self,
        laid: PlanningInput,
        prospects: Prospects,
        selling: Indices,
        price: Floats,
        charge: Floats,
    ) -> None:
        problem, lines = laid.problem, laid.lines
        ways = problem.ways
        self._share = np.repeat(ways.share[:, None], _RATE_Z.size, axis=1)
        pairs = prospects.at(selling, np.zeros(selling.size, dtype=np.intp))
        truths = np.repeat(_RATE_Z, _AGE_Z.size), np.tile(_AGE_Z, _RATE_Z.size)
        saleable, _ = pairs.under(*truths)
        by_rate = saleable.reshape(selling.size, _RATE_Z.size, _AGE_Z.size)
        self._share[selling] = by_rate @ _AGE_COUNTS
        each = price * problem.per_crate(ways.batch, ways.want)
        self._worth = each[:, None] * self._share - charge[:, None]
        self._usual = rates_believed(_RATE_Z, 0.0, np.zeros(1))[:, 0]
        self._batch, self._undecided = ways.batch, problem.undecided.astype(float)
        self._gained: dict[tuple[int, float], Floats] = {}
        free = np.flatnonzero(ways.free)
        batches = laid.book.batches
        kinds = zip(
            lines.kind.tolist(), (batches[key].cultivar_id for key in lines.ids), strict=True
        )
        number: dict[tuple[int, str | None], int] = {}
        self.group = np.array(
            [number.setdefault(kind, len(number)) for kind in kinds], dtype=np.intp
        )
        """Which cultivar each batch is of, as a number."""
        order = np.lexsort((ways.batch[free], self.group[ways.batch[free]]))
        self._ways = free[order]
        self._first = np.searchsorted(
            self.group[ways.batch[self._ways]], np.arange(len(number) + 1)
        )

    def gain_minor(self, batch: int, rho: float) -> float:
        """What the other batches of a batch's cultivar gain from a check of it, at most."""
        if abs(rho) < _TELLS_NOTHING:
            return 0.0
        # As much is gained if the finding and the rate are off to opposite sides.
        key = int(self.group[batch]), round(abs(rho), _RHO_DIGITS)
        if key not in self._gained:
            self._gained[key] = self._gains(*key)
        gained = self._gained[key]
        return float(gained.sum() - gained[batch])

    def _gains(self, group: int, rho: float) -> Floats:
        """What each batch gains from a check of another one of a cultivar, (batches,)."""
        gained = np.zeros(self._undecided.size)
        ways = self._ways[self._first[group] : self._first[group + 1]]
        ways = ways[self._undecided[self._batch[ways]] > 0]
        if not ways.size:
            return gained
        own = self._batch[ways]
        first = np.flatnonzero(np.append(True, own[1:] != own[:-1]))
        usual = self._worth[ways] @ self._usual
        # Of each batch the way that looks best today.
        best = np.maximum.reduceat(usual, first)
        today = np.flatnonzero(usual == np.repeat(best, np.diff(np.append(first, own.size))))
        today = today[np.unique(own[today], return_index=True)[1]]
        expected = self._worth[ways] @ rates_believed(_RATE_Z, rho, _FOUND_Z)
        gain = np.maximum.reduceat(expected, first, axis=0) - expected[today]
        gained[own[first]] = self._undecided[own[first]] * (gain @ _FOUND_COUNTS)
        return gained

    def share_more(self, batch: int, rho: float, found_z: float) -> tuple[Indices, Floats]:
        """Ways of the other batches, and by how much more of their fruit is saleable after a
        finding that is so many sds off."""
        ways = self._others(batch)
        then = rates_believed(_RATE_Z, rho, np.array([found_z]))[:, 0]
        return ways, self._share[ways] @ (then - self._usual)

    def _others(self, batch: int) -> Indices:
        group = self.group[batch]
        ways = self._ways[self._first[group] : self._first[group + 1]]
        return np.asarray(
            ways[(self._batch[ways] != batch) & (self._undecided[self._batch[ways]] > 0)]
        )

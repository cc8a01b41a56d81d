"""Pulp not yet at the temperature of its place: the difference as each stay begins.

All processes of a batch share it; what the difference adds to the clock of one is its
:mod:`~ripenroom.science.cooling_lag`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from numpy.polynomial import legendre

from ripenroom.science.air import Air
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays, pulp_differences_k, settled_pulp_c
from ripenroom.science.softening import Floats

ORDER = 8
"""Values that an integral over the way of a pulp is made of."""

AT_NODES: Floats = np.asarray((1.0 + legendre.leggauss(ORDER)[0]) / 2.0, float)
"""Shares of the difference that are left at these: the Gauss-Legendre nodes on 0 to 1."""

_STEADY_K = 0.05
"""Settled pulp that moves by less than this while others settle is taken as steady."""

STEPS = 160
"""Steps of a way that is followed step by step: of a twentieth of a half-cooling time or so."""

AT_ONCE = 4_000
"""Stays whose steps are looked at in one go: tables of more would fill the memory."""

LEAST_DIFFERENCE_K = 0.1
"""A difference below this is settled: what it still adds moves no date by more than minutes."""


@dataclass(frozen=True, slots=True)
class UnsettledNodes:
    """Ways of pulp to the temperature of its place, one line each, and what it and settled pulp are
    there.

    ``batch`` and ``stay`` name all stays in which pulp is on its way, and ``way`` the line of each:
    stays of one kind that begin alike share theirs, as those of a batch do whose journeys ahead are
    tried. ``begin_c`` is settled pulp as the stay begins; ``settled_c`` and ``arrived_c`` (ways, n)
    are at the nodes of the integral over all of the way, ``coldest_c`` the coldest of all of them.
    """

    batch: Indices
    stay: Indices
    way: Indices
    kind: Indices
    place: Indices
    begin_h: Floats
    begin_c: Floats
    difference_k: Floats
    half_cooling_h: Floats
    over_h: Floats
    settled_c: Floats
    arrived_c: Floats
    coldest_c: Floats
    unsteady: npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Unsettled:
    """How far from settled each batch's pulp is as each stay begins. Made by :meth:`along`.

    Tables of shape (batches, most stays): ``difference_k`` (K) on arrival, ``half_cooling_h``, and
    ``over_h``, hours until the difference is gone. All processes of a batch share it. ``kind``
    (batches,) numbers whose processes these are.
    """

    stays: Stays
    kind: Indices
    airs: Sequence[Air]
    difference_k: Floats
    half_cooling_h: Floats
    over_h: Floats

    @classmethod
    def along(
        cls, stays: Stays, kind: Indices, airs: Sequence[Air], pulp_at_pick_c: Floats
    ) -> "Unsettled":
        """Along ``stays``; ``pulp_at_pick_c`` (batches,) is nan where pulp came settled."""
        difference = pulp_differences_k(stays, airs, pulp_at_pick_c)
        half_cooling = np.array([air.half_cooling_h for air in airs])[stays.place]
        least = LEAST_DIFFERENCE_K
        over = half_cooling * np.log2(np.maximum(np.abs(difference), least) / least)
        return cls(stays, kind, airs, difference, half_cooling, over)

    @classmethod
    def at_once(cls, stays: Stays, kind: Indices, airs: Sequence[Air]) -> "Unsettled":
        """As if pulp settled as soon as it comes anywhere: rough, and worked out in no time."""
        none = np.zeros(stays.start_h.shape)
        half_cooling = np.array([air.half_cooling_h for air in airs])[stays.place]
        return cls(stays, kind, airs, none, half_cooling, none)

    def left(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Share of the difference that is left ``since_h`` hours into the named stays, (n,)."""
        return np.asarray(np.exp2(-since_h / self.half_cooling_h[batch, stay]))

    def pulp_c(self, batch: Indices, stay: Indices, since_h: Floats, settled_c: Floats) -> Floats:
        """Pulp ``since_h`` hours into the named stays, where settled pulp has ``settled_c``."""
        return settled_c + self.difference_k[batch, stay] * self.left(batch, stay, since_h)

    def settled_c(self, left: Floats) -> Floats:
        """Settled pulp where so much of the difference is left, (ways, n)."""
        nodes = self.nodes
        at_h = nodes.begin_h[:, None] - nodes.half_cooling_h[:, None] * np.log2(left)
        return settled_pulp_c(nodes.place, at_h, self.airs)

    @cached_property
    def nodes(self) -> UnsettledNodes:
        """What all processes need of the stays in which pulp is on its way."""
        stays = self.stays
        batch, stay = np.nonzero((self.over_h > 0.0) & (stays.end_h > stays.start_h))
        every = batch, stay
        first, way = _alike(
            self.kind[batch], stays.place[every], stays.start_h[every], self.difference_k[every]
        )
        once = batch[first], stay[first]
        place, begin_h = stays.place[once], stays.start_h[once]
        difference, half_cooling = self.difference_k[once], self.half_cooling_h[once]
        at_h = begin_h[:, None] - half_cooling[:, None] * np.log2(AT_NODES)
        settled = settled_pulp_c(place, at_h, self.airs)
        begin_c = settled_pulp_c(place, begin_h, self.airs)
        arrived = settled + difference[:, None] * AT_NODES
        highest = np.maximum(settled.max(axis=1), begin_c)
        lowest = np.minimum(settled.min(axis=1), begin_c)
        unsteady = highest - lowest > _STEADY_K
        coldest = np.minimum(settled.min(axis=1), np.minimum(arrived.min(axis=1), begin_c))
        coldest = np.minimum(coldest, begin_c + difference)
        coldest = np.where(unsteady, -np.inf, coldest)
        return UnsettledNodes(
            batch,
            stay,
            way,
            self.kind[batch[first]],
            place,
            begin_h,
            begin_c,
            difference,
            half_cooling,
            self.over_h[once],
            settled,
            arrived,
            coldest,
            unsteady,
        )

    def by_steps(self, some: Indices) -> tuple[Floats, Floats, Floats]:
        """Hours that each of the steps takes of ``some`` lines of :attr:`nodes`, (some,), and
        settled and arrived pulp (C) in the middle of every step, (some, steps)."""
        nodes = self.nodes
        step_h = nodes.over_h[some] / STEPS
        since_h = step_h[:, None] * (np.arange(STEPS) + 0.5)
        at_h = nodes.begin_h[some, None] + since_h
        settled = settled_pulp_c(nodes.place[some], at_h, self.airs)
        left = np.exp2(-since_h / nodes.half_cooling_h[some, None])
        return step_h, settled, settled + nodes.difference_k[some, None] * left

    @cached_property
    def coldest_by_steps_c(self) -> Floats:
        """The coldest of settled and arrived pulp (C) over all steps of each line of :attr:`nodes`
        that is unsteady, else inf: asked by every process, and few have any so cold."""
        unsteady = np.flatnonzero(self.nodes.unsteady)
        coldest = np.full(self.nodes.unsteady.size, np.inf)
        for first in range(0, unsteady.size, AT_ONCE):
            some = unsteady[first : first + AT_ONCE]
            _, settled, arrived = self.by_steps(some)
            coldest[some] = np.minimum(settled.min(axis=1), arrived.min(axis=1))
        return coldest

    def of(self, lines: Indices | slice) -> "Unsettled":
        """Of some batches only, which may repeat."""
        return Unsettled(
            self.stays.of(lines),
            self.kind[lines],
            self.airs,
            self.difference_k[lines],
            self.half_cooling_h[lines],
            self.over_h[lines],
        )


def _alike(*columns: npt.NDArray[np.generic]) -> tuple[Indices, Indices]:
    """One of each of the lines that are alike in all columns, in order by the first and then the
    next of these, and which one each line is like."""
    order = np.lexsort(columns[::-1])
    new = np.ones(order.size, bool)
    new[1:] = np.any([np.diff(column[order]) != 0 for column in columns], axis=0)
    which = np.empty(order.size, np.intp)
    which[order] = np.cumsum(new) - 1
    return order[new], which

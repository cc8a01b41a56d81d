"""What pulp that arrives warmer or colder adds to a place's clock until it has settled.

With settled pulp ``T_s`` and a difference ``d`` on arrival, a process of rate ``A`` gets ahead of
its clock, up to time t, by

    z / ln 2 * integral from x(t) to 1 of g(x) dx,   g(x) = [A(T_s + d x) - A(T_s)] / x,
    x(t) = 2 ** (-t / z)

The polynomial through eight Gauss-Legendre values of ``g`` is integrated, so a look-up needs no
exponential but that of ``x``. Where the rate jumps (a threshold of chilling) the integral is parted
at the ``x`` at which the pulp passes that temperature; where the settled pulp itself moves
meanwhile (a swing, a new set point) such a process is summed over short steps of time, since both
may pass the threshold, and often. At a steady place a whole lag of softening is exact to 2e-7
reference days and one under way to 2e-5, as long as fruit and place stay between 0 and 26 C (3e-6
and 3e-4 up to 30 C; for half-cooling times of 6 h and crops that heat slows from about 27 C).
Where the settled pulp swings it is rougher: 0.003 for a swing of 4 K and a half-cooling time of
6 h, 0.02 for 8 K and 12 h, which is half an hour at the reference temperature. A lag across a
threshold is good to half an hour, to an hour where the settled pulp moves.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from numpy.polynomial import legendre

from ripenroom.science.air import DAY_H, Air
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays, pulp_differences_k, settled_pulp_c
from ripenroom.science.process import Process, rates_of
from ripenroom.science.softening import Floats

_ORDER = 8
_NODES, _WEIGHTS = legendre.leggauss(_ORDER)
_AT_NODES = (1.0 + _NODES) / 2.0

# Legendre coefficients (down the columns) of the polynomials that are 1 at one node and 0 at the
# others, and of their integrals from x to 1 (half of those over the Legendre variable).
_BASIS = np.asarray(np.linalg.inv(legendre.legvander(_NODES, _ORDER - 1)), float)
_INTEGRAL = np.asarray(legendre.legint(_BASIS, lbnd=1.0) / -2.0, float)

_STEPS = 160
"""Steps of a lag that is summed: of a twentieth of a half-cooling time or so."""

_AT_ONCE = 20_000
"""Stays whose steps are summed in one go."""

_STEADY_K = 0.05
"""Settled pulp that moves by less than this while others settle is taken as steady."""

LEAST_DIFFERENCE_K = 0.1
"""A difference below this is settled: what it still adds moves no date by more than minutes."""


@dataclass(frozen=True, slots=True)
class Nodes:
    """Stays in which pulp is on its way, one line each, and what it and settled pulp are there.

    ``begin_c`` is settled pulp as the stay begins; ``settled_c`` and ``arrived_c`` (stays, n) are
    at the nodes of the integral over all of the way, ``coldest_c`` the coldest of all of them.
    """

    batch: Indices
    stay: Indices
    place: Indices
    begin_h: Floats
    begin_c: Floats
    difference_k: Floats
    half_cooling_h: Floats
    settled_c: Floats
    arrived_c: Floats
    coldest_c: Floats
    unsteady: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Steps:
    """Lags that are summed over steps of time: ``number`` (batches, most stays) is the line of each
    such stay, else -1; ``so_far`` (lines, steps + 1) what it adds by the end of each of its steps,
    which take ``step_h``."""

    number: Indices
    step_h: Floats
    so_far: Floats

    def of(self, lines: Indices | slice) -> "Steps":
        """Those of some batches only."""
        return Steps(self.number[lines], self.step_h, self.so_far)

    def at(self, line: Indices, since_h: Floats) -> tuple[Floats, Floats]:
        """What lines have added ``since_h`` hours into their stays, and at what pace (per hour)."""
        at = np.minimum(since_h / self.step_h[line], self.so_far.shape[1] - 1.0)
        step = np.minimum(at.astype(np.intp), self.so_far.shape[1] - 2)
        before = self.so_far[line, step]
        more = self.so_far[line, step + 1] - before
        return before + (at - step) * more, more / self.step_h[line]


@dataclass(frozen=True)
class Unsettled:
    """How far from settled each batch's pulp is as each stay begins. Made by :meth:`along`.

    Tables of shape (batches, most stays): ``difference_k`` (K) on arrival, ``half_cooling_h``, and
    ``over_h``, hours until the difference is gone. All processes of a batch share it.
    """

    stays: Stays
    airs: Sequence[Air]
    difference_k: Floats
    half_cooling_h: Floats
    over_h: Floats

    @classmethod
    def along(cls, stays: Stays, airs: Sequence[Air], pulp_at_pick_c: Floats) -> "Unsettled":
        """Along ``stays``; ``pulp_at_pick_c`` (batches,) is nan where pulp came settled."""
        difference = pulp_differences_k(stays, airs, pulp_at_pick_c)
        half_cooling = np.array([air.half_cooling_h for air in airs])[stays.place]
        least = LEAST_DIFFERENCE_K
        over = half_cooling * np.log2(np.maximum(np.abs(difference), least) / least)
        return cls(stays, airs, difference, half_cooling, over)

    def left(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Share of the difference that is left ``since_h`` hours into the named stays, (n,)."""
        return np.asarray(np.exp2(-since_h / self.half_cooling_h[batch, stay]))

    def lag(self, processes: Sequence[Process], crop: Indices) -> "Lag | None":
        """The lag of one process; ``crop`` (batches,) picks each batch's of ``processes``.

        None where no pulp is on its way, or none at a temperature that matters to the process.
        """
        nodes = self.nodes
        if not nodes.batch.size:
            return None
        which = crop[nodes.batch]
        none_from_c = np.array([process.none_from_c for process in processes])[which]
        if (nodes.coldest_c >= none_from_c).all():
            return None
        with np.errstate(invalid="ignore"):
            passes = (none_from_c - nodes.begin_c) / nodes.difference_k
        part = np.where((passes > 0.0) & (passes < 1.0), passes, 0.0)
        if not part.any():
            parts = [(part, np.ones_like(part))]
            gains = [self._gain(_AT_NODES, nodes.settled_c, nodes.arrived_c, processes, which)]
        else:
            parts = [(part, 1.0 - part), (np.zeros_like(part), part)]
            gains = [self._gain_on(*of_part, processes, which) for of_part in parts]
        steps = None
        if np.isfinite(none_from_c).any():
            steps = self._steps(np.flatnonzero(nodes.unsteady), processes, which)
        if steps is None and not any(gain.any() for gain in gains):
            return None
        return self._made(parts, gains, steps)

    def _steps(self, some: Indices, processes: Sequence[Process], which: Indices) -> "Steps | None":
        """The lag of some of the unsettled stays, summed over steps of time."""
        if not some.size:
            return None
        nodes = self.nodes
        over_h = self.over_h[nodes.batch[some], nodes.stay[some]]
        step_h = over_h / _STEPS
        so_far = np.zeros((some.size, _STEPS + 1))
        # The tables in between would fill the memory: very many stays are taken by parts.
        for first in range(0, some.size, _AT_ONCE):
            these, rows = some[first : first + _AT_ONCE], slice(first, first + _AT_ONCE)
            since_h = step_h[rows, None] * (np.arange(_STEPS) + 0.5)
            at_h = nodes.begin_h[these, None] + since_h
            settled = settled_pulp_c(nodes.place[these], at_h, self.airs)
            left = np.exp2(-since_h / nodes.half_cooling_h[these, None])
            arrived = settled + nodes.difference_k[these, None] * left
            own = which[these]
            more = rates_of(processes, own, arrived) - rates_of(processes, own, settled)
            np.cumsum(more * (step_h[rows] / DAY_H)[:, None], axis=1, out=so_far[rows, 1:])
        number = np.full(self.stays.start_h.shape, -1)
        number[nodes.batch[some], nodes.stay[some]] = np.arange(some.size)
        return Steps(number, step_h, so_far)

    def _gain_on(
        self, from_x: Floats, width: Floats, processes: Sequence[Process], which: Indices
    ) -> Floats:
        """:meth:`_gain` at nodes on parts of the way."""
        left = from_x[:, None] + width[:, None] * _AT_NODES
        # A part of no length lies at nothing left: endlessly late, and worth nothing.
        left = np.where(left > 0.0, left, 1.0)
        settled = self._settled_c(left)
        arrived = settled + self.nodes.difference_k[:, None] * left
        return self._gain(left, settled, arrived, processes, which)

    def _gain(
        self,
        left: Floats,
        settled_c: Floats,
        arrived_c: Floats,
        processes: Sequence[Process],
        which: Indices,
    ) -> Floats:
        """``z / ln 2 / 24`` times g where so much of the difference is ``left``, (stays, n)."""
        more = rates_of(processes, which, arrived_c) - rates_of(processes, which, settled_c)
        per_hour = self.nodes.half_cooling_h[:, None] / (math.log(2.0) * DAY_H)
        return np.asarray(more / left * per_hour)

    def _settled_c(self, left: Floats) -> Floats:
        """Settled pulp where so much of the difference is left, (stays, n)."""
        nodes = self.nodes
        at_h = nodes.begin_h[:, None] - nodes.half_cooling_h[:, None] * np.log2(left)
        return settled_pulp_c(nodes.place, at_h, self.airs)

    @cached_property
    def nodes(self) -> "Nodes":
        """What all processes need of the stays in which pulp is on its way."""
        stays = self.stays
        batch, stay = np.nonzero((self.over_h > 0.0) & (stays.end_h > stays.start_h))
        begin_h, place = stays.start_h[batch, stay], stays.place[batch, stay]
        difference, half_cooling = self.difference_k[batch, stay], self.half_cooling_h[batch, stay]
        at_h = begin_h[:, None] - half_cooling[:, None] * np.log2(_AT_NODES)
        settled = settled_pulp_c(place, at_h, self.airs)
        begin_c = settled_pulp_c(place, begin_h, self.airs)
        arrived = settled + difference[:, None] * _AT_NODES
        highest, lowest = (
            np.maximum(settled.max(axis=1), begin_c),
            np.minimum(settled.min(axis=1), begin_c),
        )
        unsteady = highest - lowest > _STEADY_K
        coldest = np.minimum(settled.min(axis=1), np.minimum(arrived.min(axis=1), begin_c))
        coldest = np.minimum(coldest, begin_c + difference)
        coldest = np.where(unsteady, -np.inf, coldest)
        return Nodes(
            batch,
            stay,
            place,
            begin_h,
            begin_c,
            difference,
            half_cooling,
            settled,
            arrived,
            coldest,
            unsteady,
        )

    def _made(
        self, parts: list[tuple[Floats, Floats]], gains: list[Floats], steps: "Steps | None"
    ) -> "Lag":
        batch, stay = self.nodes.batch, self.nodes.stay
        number = np.zeros(self.stays.start_h.shape, np.intp)
        number[batch, stay] = np.arange(batch.size)
        whole = np.zeros(self.stays.start_h.shape)
        whole[batch, stay] = sum(
            width * (gain @ (_WEIGHTS / 2.0)) for (_, width), gain in zip(parts, gains, strict=True)
        )
        lag = Lag(
            self,
            number,
            tuple(from_x for from_x, _ in parts),
            tuple(width for _, width in parts),
            tuple(_times_nodes(_BASIS, gain) for gain in gains),
            tuple(_times_nodes(_INTEGRAL, gain) for gain in gains),
            whole,
            steps,
        )
        if steps is not None:
            whole[steps.number >= 0] = steps.so_far[steps.number[steps.number >= 0], -1]
        length_h = (self.stays.end_h - self.stays.start_h)[batch, stay]
        short = length_h < self.over_h[batch, stay]
        batch, stay = batch[short], stay[short]
        whole[batch, stay] = lag.so_far(batch, stay, length_h[short])
        return lag

    def of(self, lines: Indices | slice) -> "Unsettled":
        """Of some batches only, which may repeat."""
        return Unsettled(
            self.stays.of(lines),
            self.airs,
            self.difference_k[lines],
            self.half_cooling_h[lines],
            self.over_h[lines],
        )


@dataclass(frozen=True, slots=True)
class Lag:
    """The lag of one process in every stay. Made by :meth:`Unsettled.lag`.

    ``whole`` (batches, most stays) is what each stay adds by its end, in days at unit rate.
    ``number`` says which column of the polynomials is a stay's. These stand for parts of the way,
    each from ``from_x`` on, so much ``width``: Legendre coefficients ``gain`` of g and
    ``integral`` of its integral. Some stays have ``steps`` instead.
    """

    unsettled: Unsettled
    number: Indices
    from_x: tuple[Floats, ...]
    width: tuple[Floats, ...]
    gain: tuple[Floats, ...]
    integral: tuple[Floats, ...]
    whole: Floats
    steps: Steps | None = None

    def of(self, lines: Indices | slice) -> "Lag":
        """The lags of some batches only, which may repeat."""
        return Lag(
            self.unsettled.of(lines),
            self.number[lines],
            self.from_x,
            self.width,
            self.gain,
            self.integral,
            self.whole[lines],
            None if self.steps is None else self.steps.of(lines),
        )

    @property
    def over_h(self) -> Floats:
        """Hours until each lag is over, (batches, most stays)."""
        return self.unsettled.over_h

    def so_far(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Days beyond the clock ``since_h`` hours into the named unsettled stays, (n,)."""
        left, own = self.unsettled.left(batch, stay, since_h), self.number[batch, stay]
        days = np.zeros(left.shape)
        for from_x, width, integral in zip(self.from_x, self.width, self.integral, strict=True):
            at = _within(left, from_x[own], width[own])
            days += width[own] * legendre.legval(at, integral[:, own], tensor=False)
        return self._or_by_steps(days, batch, stay, since_h, 0)

    def pace(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """How fast :meth:`so_far` grows, in days per hour, (n,)."""
        left, own = self.unsettled.left(batch, stay, since_h), self.number[batch, stay]
        per_left = np.zeros(left.shape)
        for from_x, width, gain in zip(self.from_x, self.width, self.gain, strict=True):
            at = _within(left, from_x[own], width[own])
            here = (left >= from_x[own]) & (left <= from_x[own] + width[own]) & (width[own] > 0.0)
            per_left += np.where(here, legendre.legval(at, gain[:, own], tensor=False), 0.0)
        half_cooling_h = self.unsettled.half_cooling_h[batch, stay]
        pace = np.asarray(per_left * left * (math.log(2.0) / half_cooling_h))
        return self._or_by_steps(pace, batch, stay, since_h, 1)

    def _or_by_steps(
        self, found: Floats, batch: Indices, stay: Indices, since_h: Floats, which: int
    ) -> Floats:
        """``found``, or where a lag is summed over steps what these say."""
        if self.steps is not None:
            line = self.steps.number[batch, stay]
            own = line >= 0
            found[own] = self.steps.at(line[own], since_h[own])[which]
        return found


def _within(left: Floats, from_x: Floats, width: Floats) -> Floats:
    """Legendre variable (-1 to 1) of ``left`` on a part; its end where it lies beyond."""
    safe = np.where(width > 0.0, width, 1.0)
    return np.asarray(2.0 * np.clip((left - from_x) / safe, 0.0, 1.0) - 1.0)


def _times_nodes(matrix: Floats, at_nodes: Floats) -> Floats:
    """``matrix @ at_nodes.T`` without BLAS, whose threads cost more than so thin a product."""
    return np.asarray(np.einsum("ij,nj->in", matrix, at_nodes))

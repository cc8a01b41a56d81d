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
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numpy.polynomial import legendre

from ripenroom.science.air import DAY_H
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import Process, rates_of
from ripenroom.science.unsettled import AT_NODES, AT_ONCE, ORDER, STEPS, Nodes, Unsettled


@dataclass(frozen=True, slots=True)
class Steps:
    """Lags that are summed over steps of time: ``number`` (batches, most stays) is the line of each
    such stay, else -1; ``so_far`` (lines, steps + 1) what it adds by the end of each of its steps,
    which take ``step_h``. All stays that add nothing share the first line. There are very many, and
    seven digits of each are more than enough."""

    number: Indices
    step_h: Floats
    so_far: npt.NDArray[np.float32]

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


def summed(
    unsettled: Unsettled, some: Indices, kinds: Sequence[Sequence[Process]], which: Indices
) -> list[Steps | None]:
    """The lags of some lines of ``unsettled.nodes``, if any, one for each of ``kinds``.

    ``which`` picks each line's process of a kind. All kinds share the pulp, which costs most.
    """
    if not some.size:
        return [None for _ in kinds]
    nodes = unsettled.nodes
    none_from_c = np.array([process.none_from_c for process in kinds[0]])[which[some]]
    step_h = unsettled.over_h[nodes.batch[some], nodes.stay[some]] / STEPS
    line = np.zeros(some.size, np.intp)
    lines_h, count = [np.ones(1)], 1
    so_far = [[np.zeros((1, STEPS + 1), np.float32)] for _ in kinds]
    # Pulp that never gets cold enough for a process gains nothing from it.
    cold = np.flatnonzero(unsettled.coldest_by_steps_c[some] < none_from_c)
    for first in range(0, cold.size, AT_ONCE):
        rows = cold[first : first + AT_ONCE]
        these = some[rows]
        hours, settled, arrived = unsettled.by_steps(these)
        own = which[these]
        more = [rates_of(one, own, arrived) - rates_of(one, own, settled) for one in kinds]
        adds = np.flatnonzero(np.any([gain.any(axis=1) for gain in more], axis=0))
        if not adds.size:
            continue
        line[rows[adds]] = np.arange(count, count + adds.size)
        count += adds.size
        lines_h.append(step_h[rows[adds]])
        for gain, sums in zip(more, so_far, strict=True):
            sums.append(np.zeros((adds.size, STEPS + 1), np.float32))
            sums[-1][:, 1:] = np.cumsum(gain[adds] * (hours[adds, None] / DAY_H), axis=1)
    number = np.full(unsettled.stays.start_h.shape, -1)
    number[nodes.batch[some], nodes.stay[some]] = line
    return [Steps(number, np.concatenate(lines_h), np.concatenate(sums)) for sums in so_far]


_NODES, _WEIGHTS = legendre.leggauss(ORDER)

# Legendre coefficients (down the columns) of the polynomials that are 1 at one node and 0 at the
# others, and of their integrals from x to 1 (half of those over the Legendre variable).
_BASIS = np.asarray(np.linalg.inv(legendre.legvander(_NODES, ORDER - 1)), float)
_INTEGRAL = np.asarray(legendre.legint(_BASIS, lbnd=1.0) / -2.0, float)


@dataclass(frozen=True, slots=True)
class Lag:
    """The lag of one process in every stay. Made by :func:`lags_of`.

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


def lags_of(
    unsettled: Unsettled, kinds: Sequence[Sequence[Process]], crop: Indices
) -> list[Lag | None]:
    """The lags of some kinds of process; ``crop`` (batches,) picks each batch's of one kind.

    None where no pulp is on its way, or none at a temperature that matters to the process. A
    crop's processes need to stop at the same temperature, as the ends of one allowance do.
    """
    nodes = unsettled.nodes
    if not nodes.batch.size:
        return [None for _ in kinds]
    which = crop[nodes.batch]
    none_from_c = np.array([process.none_from_c for process in kinds[0]])[which]
    if (nodes.coldest_c >= none_from_c).all():
        return [None for _ in kinds]
    with np.errstate(invalid="ignore"):
        passes = (none_from_c - nodes.begin_c) / nodes.difference_k
    part = np.where((passes > 0.0) & (passes < 1.0), passes, 0.0)
    if not part.any():
        parts = [(part, np.ones_like(part))]
        pulps = [_Pulp(AT_NODES, nodes.settled_c, nodes.arrived_c)]
    else:
        parts = [(part, 1.0 - part), (np.zeros_like(part), part)]
        pulps = [_pulp_on(unsettled, *of_part) for of_part in parts]
    steps: list[Steps | None] = [None for _ in kinds]
    if np.isfinite(none_from_c).any():
        steps = summed(unsettled, np.flatnonzero(nodes.unsteady), kinds, which)
    lags: list[Lag | None] = []
    for processes, summed_up in zip(kinds, steps, strict=True):
        gains = [_gain(nodes, pulp, processes, which) for pulp in pulps]
        stands_still = summed_up is None and not any(gain.any() for gain in gains)
        lags.append(None if stands_still else _made(unsettled, parts, gains, summed_up))
    return lags


class _Pulp(NamedTuple):
    """Settled and arrived pulp (C) where so much of the difference is ``left``, (stays, n)."""

    left: Floats
    settled_c: Floats
    arrived_c: Floats


def _pulp_on(unsettled: Unsettled, from_x: Floats, width: Floats) -> _Pulp:
    """Pulp at nodes on parts of the way."""
    left = from_x[:, None] + width[:, None] * AT_NODES
    # A part of no length lies at nothing left: endlessly late, and worth nothing.
    left = np.where(left > 0.0, left, 1.0)
    settled = unsettled.settled_c(left)
    return _Pulp(left, settled, settled + unsettled.nodes.difference_k[:, None] * left)


def _gain(nodes: Nodes, pulp: _Pulp, processes: Sequence[Process], which: Indices) -> Floats:
    """``z / ln 2 / 24`` times g at each pulp, (stays, n)."""
    more = rates_of(processes, which, pulp.arrived_c) - rates_of(processes, which, pulp.settled_c)
    per_hour = nodes.half_cooling_h[:, None] / (math.log(2.0) * DAY_H)
    return np.asarray(more / pulp.left * per_hour)


def _made(
    unsettled: Unsettled,
    parts: list[tuple[Floats, Floats]],
    gains: list[Floats],
    steps: Steps | None,
) -> Lag:
    batch, stay = unsettled.nodes.batch, unsettled.nodes.stay
    number = np.zeros(unsettled.stays.start_h.shape, np.intp)
    number[batch, stay] = np.arange(batch.size)
    whole = np.zeros(unsettled.stays.start_h.shape)
    whole[batch, stay] = sum(
        width * (gain @ (_WEIGHTS / 2.0)) for (_, width), gain in zip(parts, gains, strict=True)
    )
    lag = Lag(
        unsettled,
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
    length_h = (unsettled.stays.end_h - unsettled.stays.start_h)[batch, stay]
    short = length_h < unsettled.over_h[batch, stay]
    batch, stay = batch[short], stay[short]
    whole[batch, stay] = lag.so_far(batch, stay, length_h[short])
    return lag


def _within(left: Floats, from_x: Floats, width: Floats) -> Floats:
    """Legendre variable (-1 to 1) of ``left`` on a part; its end where it lies beyond."""
    safe = np.where(width > 0.0, width, 1.0)
    return np.asarray(2.0 * np.clip((left - from_x) / safe, 0.0, 1.0) - 1.0)


def _times_nodes(matrix: Floats, at_nodes: Floats) -> Floats:
    """``matrix @ at_nodes.T`` without BLAS, whose threads cost more than so thin a product."""
    return np.asarray(np.einsum("ij,nj->in", matrix, at_nodes))

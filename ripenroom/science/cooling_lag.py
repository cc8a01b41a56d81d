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
from ripenroom.science.unsettled import AT_NODES, AT_ONCE, ORDER, STEPS, Unsettled, UnsettledNodes


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
    step_h = nodes.over_h[some] / STEPS
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
    of_way = np.full(nodes.kind.size, -1)
    of_way[some] = line
    number[nodes.batch, nodes.stay] = of_way[nodes.way]
    return [Steps(number, np.concatenate(lines_h), np.concatenate(sums)) for sums in so_far]


_NODES, _WEIGHTS = legendre.leggauss(ORDER)

# Legendre coefficients (down the columns) of the polynomials that are 1 at one node and 0 at the
# others, and of their integrals from x to 1 (half of those over the Legendre variable).
_BASIS = np.asarray(np.linalg.inv(legendre.legvander(_NODES, ORDER - 1)), float)
_INTEGRAL = np.asarray(legendre.legint(_BASIS, lbnd=1.0) / -2.0, float)


def _in_powers(of_legendre: Floats) -> Floats:
    """Coefficients of powers, (at nodes, powers), so that a look-up is one product of rows: of so
    low an order they lose no digit that counts."""
    return np.array([legendre.leg2poly(column) for column in of_legendre.T])


_BASIS_IN_POWERS, _INTEGRAL_IN_POWERS = _in_powers(_BASIS), _in_powers(_INTEGRAL)


@dataclass(frozen=True, slots=True)
class Lag:
    """The lag of one process in every stay. Made by :func:`lags_of`.

    ``whole`` (batches, most stays) is what each stay adds by its end, in days at unit rate.
    ``number`` says which line of the polynomials is a stay's. These stand for parts of the way,
    each from ``from_x`` on, so much ``width`` (both lines, parts): coefficients ``gain`` of g and
    ``integral`` of its integral by powers of the Legendre variable, (lines, parts, powers). Some
    stays have ``steps`` instead.
    """

    unsettled: Unsettled
    number: Indices
    from_x: Floats
    width: Floats
    gain: Floats
    integral: Floats
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
        own = self.number[batch, stay]
        left = self.unsettled.left(batch, stay, since_h)[:, None]
        at = _within(left, self.from_x[own], self.width[own])
        days = _valued(self.integral[own], at)
        return self._or_by_steps((days,), batch, stay, since_h)[0]

    def so_far_and_pace(
        self, batch: Indices, stay: Indices, since_h: Floats
    ) -> tuple[Floats, Floats]:
        """:meth:`so_far`, and how fast it grows, in days per hour, both (n,)."""
        own = self.number[batch, stay]
        half_cooling_h = self.unsettled.half_cooling_h[batch, stay]
        left = np.exp2(-since_h / half_cooling_h)
        from_x, width = self.from_x[own], self.width[own]
        at = _within(left[:, None], from_x, width)
        days = _valued(self.integral[own], at)
        past_x = left[:, None] - from_x
        here = (past_x >= 0.0) & (past_x <= width) & (width > 0.0)
        per_left = _valued(self.gain[own] * here[:, :, None], at)
        pace = per_left * left * (math.log(2.0) / half_cooling_h)
        days, pace = self._or_by_steps((days, pace), batch, stay, since_h)
        return days, pace

    def _or_by_steps(
        self, found: tuple[Floats, ...], batch: Indices, stay: Indices, since_h: Floats
    ) -> tuple[Floats, ...]:
        """``found``, or where a lag is summed over steps what these say."""
        if self.steps is not None:
            line = self.steps.number[batch, stay]
            own = line >= 0
            if own.any():
                by_steps = self.steps.at(line[own], since_h[own])
                for values, said in zip(found, by_steps, strict=False):
                    values[own] = said
        return found


def lags_of(unsettled: Unsettled, kinds: Sequence[Sequence[Process]]) -> list[Lag | None]:
    """The lags of some kinds of process, each with one of every kind of batch.

    None where no pulp is on its way, or none at a temperature that matters to the process. What
    follows from the pulp alone is worked out once for all that stop at the same temperatures.
    """
    nodes = unsettled.nodes
    lags: list[Lag | None] = [None for _ in kinds]
    if not nodes.batch.size:
        return lags
    which = nodes.kind
    alike: dict[tuple[float, ...], list[int]] = {}
    for number, processes in enumerate(kinds):
        alike.setdefault(tuple(one.none_from_c for one in processes), []).append(number)
    for none_from_c, numbers in alike.items():
        own = [kinds[number] for number in numbers]
        found = _of_alike(unsettled, own, which, np.array(none_from_c)[which])
        for number, lag in zip(numbers, found, strict=True):
            lags[number] = lag
    return lags


def _of_alike(
    unsettled: Unsettled,
    kinds: Sequence[Sequence[Process]],
    which: Indices,
    none_from_c: Floats,
) -> list[Lag | None]:
    """The lags of kinds of process that stop at the same temperatures, (ways,)."""
    nodes = unsettled.nodes
    if (nodes.coldest_c >= none_from_c).all():
        return [None for _ in kinds]
    with np.errstate(invalid="ignore"):
        passes = (none_from_c - nodes.begin_c) / nodes.difference_k
    part = np.where((passes > 0.0) & (passes < 1.0), passes, 0.0)
    if not part.any():
        from_x, width = part[:, None], np.ones((part.size, 1))
        pulp = _Pulp(AT_NODES[None, None], nodes.settled_c[:, None], nodes.arrived_c[:, None])
    else:
        from_x = np.column_stack([part, np.zeros_like(part)])
        width = np.column_stack([1.0 - part, part])
        pulp = _pulp_on(unsettled, from_x, width)
    steps: list[Steps | None] = [None for _ in kinds]
    if np.isfinite(none_from_c).any():
        steps = summed(unsettled, np.flatnonzero(nodes.unsteady), kinds, which)
    return _made(unsettled, from_x, width, _gains(nodes, pulp, kinds, which), steps)


class _Pulp(NamedTuple):
    """Settled and arrived pulp (C) where so much of the difference is ``left``, all of shape
    (ways, parts, n)."""

    left: Floats
    settled_c: Floats
    arrived_c: Floats


def _pulp_on(unsettled: Unsettled, from_x: Floats, width: Floats) -> _Pulp:
    """Pulp at nodes on parts of the way, each (ways, parts)."""
    left = from_x[:, :, None] + width[:, :, None] * AT_NODES
    # A part of no length lies at nothing left: endlessly late, and worth nothing.
    left = np.where(left > 0.0, left, 1.0)
    settled = unsettled.settled_c(left.reshape(left.shape[0], -1)).reshape(left.shape)
    return _Pulp(left, settled, settled + unsettled.nodes.difference_k[:, None, None] * left)


def _gains(
    nodes: UnsettledNodes, pulp: _Pulp, kinds: Sequence[Sequence[Process]], which: Indices
) -> Floats:
    """``z / ln 2 / 24`` times g of each kind at each pulp, (kinds, ways, parts, n)."""
    # All of a process in one call: rates cost less than calling them.
    both_c = np.stack([pulp.arrived_c, pulp.settled_c], axis=1)
    rows = both_c.reshape(which.size, -1)
    rates = np.array([rates_of(processes, which, rows) for processes in kinds])
    arrived, settled = np.moveaxis(rates.reshape(len(kinds), *both_c.shape), 2, 0)
    per_hour = nodes.half_cooling_h[:, None, None] / (math.log(2.0) * DAY_H)
    return np.asarray((arrived - settled) / pulp.left * per_hour)


def _made(
    unsettled: Unsettled,
    from_x: Floats,
    width: Floats,
    gains: Floats,
    steps: Sequence[Steps | None],
) -> list[Lag | None]:
    """A lag of each of ``gains`` and ``steps``; None of a process that it leaves where it is."""
    batch, stay, way = unsettled.nodes.batch, unsettled.nodes.stay, unsettled.nodes.way
    stays_shape = unsettled.stays.start_h.shape
    number = np.zeros(stays_shape, np.intp)
    number[batch, stay] = way
    whole = np.zeros((len(steps), *stays_shape))
    whole[:, batch, stay] = (width * (gains @ (_WEIGHTS / 2.0))).sum(axis=2)[:, way]
    gain = _by_powers(gains, _BASIS_IN_POWERS)
    integral = width[:, :, None] * _by_powers(gains, _INTEGRAL_IN_POWERS)
    length_h = (unsettled.stays.end_h - unsettled.stays.start_h)[batch, stay]
    short = np.flatnonzero(length_h < unsettled.over_h[batch, stay])
    batch, stay, way, since_h = batch[short], stay[short], way[short], length_h[short]
    if short.size:
        left = unsettled.left(batch, stay, since_h)[:, None]
        powers = _powers_of(_within(left, from_x[way], width[way]), integral.shape[-1])
        whole[:, batch, stay] = np.einsum("knpc,npc->kn", integral[:, way], powers)
    lags: list[Lag | None] = []
    for which, own in enumerate(steps):
        if own is None and not gains[which].any():
            lags.append(None)
            continue
        days = whole[which]
        lag = Lag(unsettled, number, from_x, width, gain[which], integral[which], days, own)
        if own is not None:
            summed_up = own.number >= 0
            days[summed_up] = own.so_far[own.number[summed_up], -1]
            days[batch, stay] = lag.so_far(batch, stay, since_h)
        lags.append(lag)
    return lags


def _within(left: Floats, from_x: Floats, width: Floats) -> Floats:
    """Legendre variable (-1 to 1) of ``left`` on a part; its end where it lies beyond."""
    safe = np.where(width > 0.0, width, 1.0)
    return np.asarray(2.0 * np.clip((left - from_x) / safe, 0.0, 1.0) - 1.0)


def _by_powers(at_nodes: Floats, in_powers: Floats) -> Floats:
    """``at_nodes @ in_powers`` without BLAS, whose threads cost more than so thin a product."""
    return np.asarray(np.einsum("...j,jp->...p", at_nodes, in_powers))


def _powers_of(at: Floats, powers: int) -> Floats:
    """The powers from 0 on of ``at``, along one axis more."""
    found = np.empty((*at.shape, powers))
    found[..., 0] = 1.0
    found[..., 1:] = at[..., None]
    np.multiply.accumulate(found, axis=-1, out=found)
    return found


def _valued(coefficients: Floats, at: Floats) -> Floats:
    """Polynomials (n, parts, powers) at (n, parts), summed over the parts: (n,)."""
    powers = _powers_of(at, coefficients.shape[-1])
    return np.asarray(np.einsum("npk,npk->n", coefficients, powers))

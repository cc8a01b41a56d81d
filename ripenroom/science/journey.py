"""Where each batch has been and will be: its stays in places, and how far any clock got on the way.

All batches are handled at once. Stays are padded tables of shape (batches, most stays): a batch
with fewer stays repeats its last one with no length. Arriving at a place, pulp is warmer or
colder than the pulp that has settled there; what that adds to the ageing is the *lag*.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from ripenroom.science.air import Air
from ripenroom.science.clock import ClockShelf, Indices
from ripenroom.science.softening import Floats

_T = TypeVar("_T", bound=np.generic)

_LAG_NODES, _LAG_WEIGHTS = np.polynomial.legendre.leggauss(8)
_LAG_OVER = 10.0
"""Half-cooling times after which a thousandth of the difference is left and the lag is complete."""


@dataclass(frozen=True, slots=True)
class Stays:
    """Stays of all batches: when each begins (h, never decreasing along a line) and in which place.

    ``start_h`` and ``place`` have shape (batches, most stays); ``place`` numbers the airs.
    """

    start_h: Floats
    place: Indices

    def at(self, hours: Floats) -> Indices:
        """Which stay (0, 1, ...) each batch is in at its hour, for hours of shape (batches,)."""
        return np.asarray(np.maximum((self.start_h <= hours[:, None]).sum(axis=1) - 1, 0))

    @property
    def end_h(self) -> Floats:
        """When each stay ends (h); inf for the last."""
        endless = np.full((self.start_h.shape[0], 1), np.inf)
        return np.concatenate([self.start_h[:, 1:], endless], axis=1)


def pulp_differences_k(stays: Stays, airs: Sequence[Air], pulp_at_pick_c: Floats) -> Floats:
    """How much warmer (K) each batch's pulp is than settled pulp as each stay begins.

    ``pulp_at_pick_c`` has shape (batches,), ``nan`` where it was not measured: the pulp is then
    taken as settled in its first place. Loops over stay numbers and places, never over batches.
    """
    half_cooling = np.array([air.half_cooling_h for air in airs])
    difference = np.zeros(stays.start_h.shape)
    settled_here = _settled_c(stays.place[:, 0], stays.start_h[:, 0], airs)
    difference[:, 0] = np.where(np.isnan(pulp_at_pick_c), 0.0, pulp_at_pick_c - settled_here)
    for stay in range(1, stays.start_h.shape[1]):
        start = stays.start_h[:, stay]
        stayed = start - stays.start_h[:, stay - 1]
        left = np.exp2(-stayed / half_cooling[stays.place[:, stay - 1]])
        leaving = _settled_c(stays.place[:, stay - 1], start, airs) + difference[:, stay - 1] * left
        difference[:, stay] = leaving - _settled_c(stays.place[:, stay], start, airs)
    return difference


def _settled_c(place: Indices, hours: Floats, airs: Sequence[Air]) -> Floats:
    settled = np.empty(hours.shape)
    for number, air in enumerate(airs):
        here = place == number
        if here.any():
            settled[here] = air.pulp_c(hours[here])
    return settled


class Progress:
    """How far one kind of clock has advanced for every batch, along its stays.

    ``clock`` says which clock of the shelf runs in each stay, shape (batches, most stays).
    Advance counts from the first stay's start.
    """

    def __init__(self, stays: Stays, shelf: ClockShelf, clock: Indices) -> None:
        self._stays = stays
        self._shelf = shelf
        self._clock = clock
        self._theta_at_start = shelf.theta_at(clock, stays.start_h)
        self._before = np.zeros(stays.start_h.shape)
        if stays.start_h.shape[1] > 1:
            theta_at_end = shelf.theta_at(clock[:, :-1], stays.start_h[:, 1:])
            advance = theta_at_end - self._theta_at_start[:, :-1] + self._extra_at_end()
            np.cumsum(advance, axis=1, out=self._before[:, 1:])

    def _extra_at_end(self) -> Floats:
        """Advance beyond the shared clock in each stay but the last."""
        return np.zeros((self._stays.start_h.shape[0], self._stays.start_h.shape[1] - 1))

    def _of_stay(self, table: npt.NDArray[_T], stay: Indices) -> npt.NDArray[_T]:
        """The entry of each batch's given stay in a (batches, most stays) table."""
        if table.shape[1] == 1:
            return table[:, 0]
        return np.asarray(np.take_along_axis(table, stay[:, None], axis=1)[:, 0])

    def at(self, hours: Floats) -> Floats:
        """Advance of each batch at its hour; both shape (batches,). 0 before the pick."""
        hours = np.maximum(hours, self._stays.start_h[:, 0])
        stay = self._stays.at(hours)
        theta = self._shelf.theta_at(self._of_stay(self._clock, stay), hours)
        since = theta - self._of_stay(self._theta_at_start, stay)
        return np.asarray(self._of_stay(self._before, stay) + since)

    def when(self, advance: Floats) -> Floats:
        """Hour at which each batch's advance is reached; inf if never, the pick's for <= 0."""
        stay, target = self._locate(advance)
        return self._shelf.hours_at(self._of_stay(self._clock, stay), target)

    def _locate(self, advance: Floats) -> tuple[Indices, Floats]:
        """The stay in which each advance is reached, and how far that stay's clock must read."""
        wanted = np.maximum(advance, 0.0)
        stay = np.maximum((self._before <= wanted[:, None]).sum(axis=1) - 1, 0)
        before = self._of_stay(self._before, stay)
        return stay, np.asarray(wanted - before + self._of_stay(self._theta_at_start, stay))


class AgeingProgress(Progress):
    """:class:`Progress` of ripening, with the lag of pulp that arrives warmer or colder.

    With settled pulp ``T_s`` and a difference ``d`` at arrival the extra ageing up to time t is
    ``z / ln 2 * integral from x(t) to 1 of [A(T_s + d x) - A(T_s)] / x dx``, ``x = 2 ** (-t / z)``,
    by 8-point Gauss-Legendre: exact to about 2e-8 at a steady place, and to about 1e-3 where the
    settled pulp itself swings.
    """

    def __init__(
        self,
        stays: Stays,
        shelf: ClockShelf,
        clock: Indices,
        airs: Sequence[Air],
        difference_k: Floats,
        rates: Sequence[Callable[[Floats], Floats]],
        rate_of: Indices,
    ) -> None:
        """``rates[rate_of[b]]`` is batch ``b``'s relative rate of pulp temperature (C)."""
        self._airs = airs
        self._rates = rates
        self._rate_of = rate_of
        self._difference_k = difference_k
        self._half_cooling_h = np.array([air.half_cooling_h for air in airs])[stays.place]
        self._stays = stays  # needed by the lag, which the shared part builds on
        since_end = np.minimum(stays.end_h - stays.start_h, 1e6)
        self._extra = self._lag(since_end)
        super().__init__(stays, shelf, clock)

    def _extra_at_end(self) -> Floats:
        return self._extra[:, :-1]

    def _lag(self, since_h: Floats) -> Floats:
        """Extra ageing ``since_h`` hours into every stay, shape (batches, most stays)."""
        batch, stay = np.nonzero((np.abs(self._difference_k) > 1e-3) & (since_h > 0.0))
        extra = np.zeros(since_h.shape)
        extra[batch, stay] = self._lag_of(batch, stay, since_h[batch, stay])
        return extra

    def _lag_of(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Extra ageing ``since_h`` hours into the named stays, all shape (n,)."""
        half_cooling = self._half_cooling_h[batch, stay]
        lower = np.exp2(-since_h / half_cooling)
        half = (1.0 - lower) / 2.0
        left = lower[:, None] + half[:, None] * (1.0 + _LAG_NODES)
        at = self._stays.start_h[batch, stay][:, None] - half_cooling[:, None] * np.log2(left)
        settled = self._pulp_of(self._stays.place[batch, stay], at)
        warmer = settled + self._difference_k[batch, stay][:, None] * left
        rate_of = self._rate_of[batch]
        gain = (self._rate(rate_of, warmer) - self._rate(rate_of, settled)) / left
        per_day = half_cooling / math.log(2.0) / 24.0
        return np.asarray(per_day * half * (gain @ _LAG_WEIGHTS))

    def _pulp_of(self, place: Indices, hours: Floats) -> Floats:
        return _settled_c(np.broadcast_to(place[:, None], hours.shape), hours, self._airs)

    def _rate(self, rate_of: Indices, celsius: Floats) -> Floats:
        out = np.empty(celsius.shape)
        for number, rate in enumerate(self._rates):
            mine = rate_of == number
            if mine.any():
                out[mine] = rate(celsius[mine])
        return out

    def at(self, hours: Floats) -> Floats:
        """Advance in reference days with the lag so far; shape (batches,)."""
        stay = self._stays.at(hours)
        return super().at(hours) + self._lag_so_far(stay, hours)

    def _lag_so_far(self, stay: Indices, hours: Floats) -> Floats:
        since = hours - self._of_stay(self._stays.start_h, stay)
        lag = np.where(since > 0.0, self._of_stay(self._extra, stay), 0.0)
        early = np.flatnonzero(
            (since > 0.0) & (since < _LAG_OVER * self._of_stay(self._half_cooling_h, stay))
        )
        if early.size:
            lag[early] = self._lag_of(early, stay[early], since[early])
        return lag

    def when(self, advance: Floats) -> Floats:
        """Hour at which each batch's reference days are reached, the lag included."""
        stay, target = self._locate(advance)
        clock = self._of_stay(self._clock, stay)
        start = self._of_stay(self._stays.start_h, stay)
        complete = _LAG_OVER * self._of_stay(self._half_cooling_h, stay)
        hours = self._shelf.hours_at(clock, target - self._of_stay(self._extra, stay))
        during = np.flatnonzero(
            (hours - start < complete) & (np.abs(self._of_stay(self._difference_k, stay)) > 1e-3)
        )
        if during.size:
            hours[during] = self._when_during_lag(
                during, stay[during], target[during], start[during], complete[during]
            )
        return hours

    def _when_during_lag(
        self, batch: Indices, stay: Indices, target: Floats, start_h: Floats, complete_h: Floats
    ) -> Floats:
        """Root of shared clock + lag = target by the Illinois variant of false position."""
        clock = self._clock[batch, stay]

        def short(hours: Floats) -> Floats:
            lag = self._lag_of(batch, stay, hours - start_h)
            return self._shelf.theta_at(clock, hours) + lag - target

        early, late = start_h, start_h + complete_h
        f_early, f_late = short(early), short(late)
        for _ in range(12):
            span = f_late - f_early
            ratio = np.divide(f_late, span, out=np.full(span.shape, 0.5), where=span > 0.0)
            middle = late - np.clip(ratio, 0.0, 1.0) * (late - early)
            f_middle = short(middle)
            before = f_middle < 0.0
            # Illinois: the end that stays put counts half, so both ends close in.
            early, f_early, late, f_late = (
                np.where(before, middle, early),
                np.where(before, f_middle, f_early / 2.0),
                np.where(before, late, middle),
                np.where(before, f_late / 2.0, f_middle),
            )
        return np.asarray(middle)

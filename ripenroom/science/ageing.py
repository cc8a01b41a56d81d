"""Ageing of every batch along its journey, with the lag of pulp that arrives warmer or colder.

With settled pulp ``T_s`` and a difference ``d`` on arrival, the ageing beyond the place's clock up
to time t is

    z / ln 2 * integral from x(t) to 1 of [A(T_s + d x) - A(T_s)] / x dx,   x = 2 ** (-t / z)

by 8-point Gauss-Legendre: exact to about 2e-8 at a steady place, to about 1e-3 where the settled
pulp itself swings.
"""

import math
from collections.abc import Sequence

import numpy as np

from ripenroom.science.air import DAY_H, Air
from ripenroom.science.clock import ClockShelf, Indices
from ripenroom.science.journey import Stays, pulp_differences_k, settled_pulp_c
from ripenroom.science.progress import Progress
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import Response, lines_of

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)

_LEAST_DIFFERENCE_K = 0.1
"""A difference below this is settled: what it still adds moves no date by more than minutes."""

_NONE: tuple[Indices, Indices] = (np.empty(0, np.intp), np.empty(0, np.intp))
_ROOT_H = 0.05
"""Dates are found to within this many hours, far inside any range."""


class Ageing:
    """Reference days that every batch has aged since its pick.

    ``crop`` (batches,) picks each batch's line of ``responses``, a stacked response.
    ``pulp_at_pick_c`` (batches,) is nan where it was not measured.
    """

    def __init__(
        self,
        stays: Stays,
        shelf: ClockShelf,
        clock: Indices,
        airs: Sequence[Air],
        pulp_at_pick_c: Floats,
        responses: Response,
        crop: Indices,
    ) -> None:
        self._stays = stays
        self._airs = airs
        self._responses = responses
        self._crop = crop
        self._difference_k = pulp_differences_k(stays, airs, pulp_at_pick_c)
        self._half_cooling_h = np.array([air.half_cooling_h for air in airs])[stays.place]
        start_k = np.maximum(np.abs(self._difference_k), _LEAST_DIFFERENCE_K)
        self._lag_over_h = self._half_cooling_h * np.log2(start_k / _LEAST_DIFFERENCE_K)
        self._extra = self._whole_lag()
        self._clocked = Progress(stays, shelf, clock, self._extra)

    def at(self, hours: Floats) -> Floats:
        """Reference days of each batch at its hours; shapes (batches, n). 0 before the pick."""
        hours = np.maximum(hours, self._stays.start_h[:, :1])
        days = self._clocked.at(hours)
        days += self._lag(self._stays.at(hours), hours)
        return days

    def at_common(self, hours: Floats) -> Floats:
        """Reference days of every batch at the same hours (n,); answer (batches, n), 0 before."""
        days = self._clocked.at_common(hours)
        days += self._extra[:, -1, None]
        # That holds once the last lag is over; the few earlier hours are mended one by one.
        over_h = self._stays.start_h[:, -1] + self._lag_over_h[:, -1]
        batch, hour = np.nonzero(hours < over_h[:, None]) if (hours[:1] < over_h).any() else _NONE
        if batch.size:
            at_h = hours[hour]
            begun = self._stays.start_h[batch] <= at_h[:, None]
            stay = np.maximum(begun.sum(axis=1) - 1, 0)
            since = at_h - self._stays.start_h[batch, stay]
            lag = self._lag_of(batch, stay, np.maximum(since, 0.0))
            mended = days[batch, hour] - self._extra[batch, -1] + lag
            picked = at_h > self._stays.start_h[batch, 0]
            days[batch, hour] = np.where(picked, mended, 0.0)
        return days

    def when(self, days: Floats) -> Floats:
        """Hours at which each batch has aged these reference days; shapes (batches, n)."""
        stay, target = self._clocked.locate(days)
        clock = Stays.entry(self._clocked.clock, stay)
        start = Stays.entry(self._stays.start_h, stay)
        hours = self._clocked.shelf.hours_at(clock, target - Stays.entry(self._extra, stay))
        # As if the lag were complete; where it is not, Newton from here. Warm pulp in a cold place
        # slows down and cold pulp in a warm one speeds up, so each step stays on its own side of
        # the root and no bracket is needed.
        batch, column = np.nonzero(hours - start < Stays.entry(self._lag_over_h, stay))
        for _ in range(20):
            if not batch.size:
                break
            here = hours[batch, column]
            own_stay = stay[batch, column]
            since = np.maximum(here - start[batch, column], 0.0)
            lag = self._lag_of(batch, own_stay, since)
            short = target[batch, column] - lag
            short -= self._clocked.shelf.theta_at(clock[batch, column], here)
            step = short * DAY_H / self._rate_after(batch, own_stay, since)
            step = np.clip(step, -since, DAY_H)
            hours[batch, column] = here + step
            unsettled = np.abs(step) > _ROOT_H
            batch, column = batch[unsettled], column[unsettled]
        return hours

    def pulp_c(self, line: int, hours: Floats) -> Floats:
        """Pulp temperature (C) of one batch at hours (n,), from its pick on."""
        batch = np.full(hours.shape, line, dtype=np.intp)
        stay = self._stays.at(np.broadcast_to(hours, (self._stays.start_h.shape[0], hours.size)))
        own = stay[line]
        since = np.maximum(hours - self._stays.start_h[line, own], 0.0)
        settled = settled_pulp_c(self._stays.place[batch, own], hours, self._airs)
        return np.asarray(settled + self._difference_k[batch, own] * self._left(batch, own, since))

    def _left(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Share of the difference on arrival that is left after ``since_h`` hours."""
        return np.asarray(np.exp2(-since_h / self._half_cooling_h[batch, stay]))

    def _rate_after(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Relative rate ``since_h`` hours into the named stays."""
        hours = self._stays.start_h[batch, stay] + since_h
        pulp = settled_pulp_c(self._stays.place[batch, stay], hours, self._airs)
        pulp += self._difference_k[batch, stay] * self._left(batch, stay, since_h)
        response = lines_of(self._responses, self._crop[batch])
        return response.relative_rate(pulp[:, None])[:, 0]

    def _whole_lag(self) -> Floats:
        """Lag of every stay by its end, shape (batches, most stays)."""
        length = self._stays.end_h - self._stays.start_h
        extra = np.zeros(length.shape)
        batch, stay = np.nonzero((self._lag_over_h > 0.0) & (length > 0.0))
        extra[batch, stay] = self._lag_of(batch, stay, length[batch, stay])
        return extra

    def _lag(self, stay: Indices, hours: Floats) -> Floats:
        """Lag so far in the stays (batches, n) at hours (batches, n)."""
        since = hours - Stays.entry(self._stays.start_h, stay)
        lag = np.array(Stays.entry(self._extra, stay))
        batch, column = np.nonzero(since < Stays.entry(self._lag_over_h, stay))
        if batch.size:
            lag[batch, column] = self._lag_of(batch, stay[batch, column], since[batch, column])
        return lag

    def _lag_of(self, batch: Indices, stay: Indices, since_h: Floats) -> Floats:
        """Ageing beyond the clock ``since_h`` hours into the named stays, all shape (n,)."""
        half_cooling = self._half_cooling_h[batch, stay]
        lower = np.exp2(-since_h / half_cooling)
        half = (1.0 - lower) / 2.0
        left = lower[:, None] + half[:, None] * (1.0 + _NODES)
        start = self._stays.start_h[batch, stay]
        at = start[:, None] - half_cooling[:, None] * np.log2(left)
        settled = settled_pulp_c(self._stays.place[batch, stay], at, self._airs)
        response = lines_of(self._responses, self._crop[batch])
        gain = response.relative_rate(settled + self._difference_k[batch, stay][:, None] * left)
        gain -= response.relative_rate(settled)
        gain /= left
        return np.asarray((half_cooling / (math.log(2.0) * DAY_H)) * half * (gain @ _WEIGHTS))

"""Air of a place as a logger found it where it did, and as the thermostat has it elsewhere."""

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

from ripenroom.science.air import LoggedAir, ScheduledAir
from ripenroom.science.softening import Floats, FloatsLike

Flags = npt.NDArray[np.bool_]

LEAST_GAP_H = 2.0
GAP_STEPS = 4.0
"""Two readings farther apart than both are no line: what lay between was not seen."""

THINNED_TO_H = 5.0 / 60.0
"""Readings closer together are averaged: pulp in a crate does not follow air so fast."""

_FINE_H = 0.5
"""Points no farther apart than this follow the daily swing that is taken off a reading's line."""

_AT_ONCE_H = 1e-6
"""How long a step of the air is made to last, in a line that cannot jump."""


class Readings:
    """Temperatures (C) at increasing times (h): lines within each of its runs, nothing between.

    A run (from ``starts`` to ``ends``) is broken where two readings are farther apart than two
    hours and than four usual steps, unless other runs are given.
    """

    def __init__(
        self, hours: FloatsLike, celsius: FloatsLike, runs: tuple[Floats, Floats] | None = None
    ) -> None:
        self.hours = np.asarray(hours, float)
        self.celsius = np.asarray(celsius, float)
        if runs is None:
            steps = np.diff(self.hours)
            usual = float(np.median(steps)) if steps.size else 0.0
            runs = _runs(self.hours, steps > max(LEAST_GAP_H, GAP_STEPS * usual))
        self.starts, self.ends = runs

    @property
    def gaps(self) -> Floats:
        """Begin and end (h) of what was not seen between two runs, shape (n, 2)."""
        return np.column_stack([self.ends[:-1], self.starts[1:]])

    def cover(self, hours: Floats) -> Flags:
        """Whether each time lies in a run."""
        run = np.searchsorted(self.starts, hours, side="right") - 1
        return np.asarray((run >= 0) & (hours <= self.ends[run]))

    def at(self, hours: FloatsLike) -> Floats:
        """Temperature (C) on the line through all readings, held level outside them."""
        return np.asarray(np.interp(np.asarray(hours, float), self.hours, self.celsius))

    def evenly(self, step_h: float) -> tuple[Floats, Floats]:
        """Middles (h) of even steps of about ``step_h`` through every run, and the hours that each
        stands for."""
        hours, weights = [], []
        for start, end in zip(self.starts, self.ends, strict=True):
            steps = max(1, round((end - start) / step_h)) if end > start else 0
            length = (end - start) / steps if steps else 0.0
            hours.append(start + length * (np.arange(steps) + 0.5))
            weights.append(np.full(steps, length))
        return np.concatenate(hours), np.concatenate(weights)

    def thinned(self) -> "Readings":
        """The same runs, readings within five minutes averaged in time and in value."""
        which = np.floor(self.hours / THINNED_TO_H)
        first = np.flatnonzero(np.diff(which, prepend=-np.inf))
        if first.size == which.size:
            return self
        count = np.diff(first, append=which.size)
        # Hours count from 1970: summed as they are they would lose what the average is about.
        since = np.add.reduceat(self.hours - self.hours[0], first) / count
        celsius = np.add.reduceat(self.celsius, first) / count
        return Readings(self.hours[0] + since, celsius, (self.starts, self.ends))

    def before(self, end_h: float) -> "Readings | None":
        """What was read by a time; None if nothing was."""
        if self.hours[-1] <= end_h:
            return self
        kept = self.hours < end_h
        if not kept.any():
            return None
        ends = self.ends[: np.searchsorted(self.starts, end_h)]
        if not self.cover(np.array([end_h]))[0]:
            runs = (self.starts[: ends.size], ends)
            return Readings(self.hours[kept], self.celsius[kept], runs)
        return Readings(
            np.append(self.hours[kept], end_h),
            np.append(self.celsius[kept], self.at(end_h)),
            (self.starts[: ends.size], np.minimum(ends, end_h)),
        )


def at_shares_of_time(
    values: Floats, weight_h: Floats, shares: Iterable[float]
) -> tuple[float, ...]:
    """Values below which these shares of the time lie, if each stands for so many hours."""
    order = np.argsort(values)
    passed = (np.cumsum(weight_h[order]) - weight_h[order] / 2.0) / weight_h.sum()
    return tuple(float(np.interp(share, passed, values[order])) for share in shares)


def together(logs: Sequence[Readings]) -> Readings | None:
    """One line through several logs of a place; where they overlap, the mean of them.

    None without any. What one log missed and another saw is no gap.
    """
    if len(logs) < 2:
        return logs[0] if logs else None
    hours = np.unique(np.concatenate([log.hours for log in logs]))
    total, seen = np.zeros(hours.size), np.zeros(hours.size)
    for log in logs:
        covered = log.cover(hours)
        total += np.where(covered, log.at(hours), 0.0)
        seen += covered
    middle = (hours[:-1] + hours[1:]) / 2.0
    unseen = ~np.any([log.cover(middle) for log in logs], axis=0)
    return Readings(hours, total / seen, _runs(hours, unseen))


def _runs(hours: Floats, broken: Flags) -> tuple[Floats, Floats]:
    """Begin and end of the runs of ``hours`` that are broken after some of them."""
    last = np.flatnonzero(broken)
    return hours[np.append(0, last + 1)], hours[np.append(last, hours.size - 1)]


class PartlyLoggedAir:
    """Readings where there are any; elsewhere the schedule, which may have readings of its own.

    First-order cooling is linear: the pulp is what the schedule alone makes of it plus what the
    difference between readings and schedule makes of pulp that would else not differ. So pulp is
    continuous where a log begins and where it ends.
    """

    def __init__(self, scheduled: "ScheduledAir | PartlyLoggedAir", readings: Readings) -> None:
        self.half_cooling_h: float = scheduled.half_cooling_h
        self.change_h: Floats = np.unique(
            np.concatenate([scheduled.change_h, readings.starts, readings.ends + _AT_ONCE_H])
        )
        self._scheduled = scheduled
        self._readings = readings
        hours, difference_k = _difference(scheduled, readings)
        self._difference = LoggedAir(hours, difference_k, self.half_cooling_h)

    def air_c(self, hours: FloatsLike) -> Floats:
        """Readings with straight lines between them; the schedule where there are none (C)."""
        at = np.asarray(hours, float)
        read = self._readings.at(at)
        return np.where(self._readings.cover(at), read, self._scheduled.air_c(at))

    def pulp_c(self, hours: FloatsLike) -> Floats:
        """Settled pulp (C)."""
        return self._scheduled.pulp_c(hours) + self._difference.pulp_c(hours)

    def knots(self, start_h: float, end_h: float) -> Floats:
        """The schedule's, and even ones while a log is or was lately at work.

        Not the readings themselves: pulp follows them so slowly that three nodes between knots a
        quarter of a half-cooling time apart see all that matters of its rate.
        """
        step = min(1.0, self.half_cooling_h / 4.0)
        faded_h = 12.0 * self.half_cooling_h
        spans = [
            np.arange(max(start_h, first), min(end_h, last + faded_h), step)
            for first, last in zip(self._readings.starts, self._readings.ends, strict=True)
        ]
        edges = np.concatenate([self._readings.starts, self._readings.ends])
        edges = edges[(edges > start_h) & (edges < end_h)]
        own = self._scheduled.knots(start_h, end_h)
        return np.unique(np.concatenate([own, edges, *spans]))


def _difference(
    scheduled: ScheduledAir | PartlyLoggedAir, readings: Readings
) -> tuple[Floats, Floats]:
    """Points of a line: readings less schedule in every run of readings, zero between runs."""
    runs = zip(readings.starts, readings.ends, strict=True)
    fine = [np.arange(first, last, _FINE_H) for first, last in runs]
    turned = scheduled.change_h[readings.cover(scheduled.change_h)]
    before = np.concatenate([turned, readings.starts]) - _AT_ONCE_H
    edges = np.concatenate([readings.ends, readings.ends + _AT_ONCE_H])
    hours = np.unique(np.concatenate([readings.hours, *fine, turned, before, edges]))
    differ = readings.at(hours) - scheduled.air_c(hours)
    return hours, np.where(readings.cover(hours), differ, 0.0)

"""Air temperature over time, in a room or outdoors, and the temperature of fruit settled in it.

Pulp (the inside of a fruit) follows the air as ``dT/dt = (ln 2 / z) (T_air - T)`` with
half-cooling time ``z`` (first-order cooling, so seven-eighths of the way takes 3 z: USDA
Agriculture Handbook 66, from memory). Because that equation is linear, the pulp of fruit that came
in ``d`` kelvins warmer than settled fruit is at any later time the settled pulp plus
``d * 2 ** (-t / z)``; so one settled curve serves every batch of a place.

Of a day outdoors only its coldest and warmest are known. Air is taken to be coldest about sunrise
and warmest in mid-afternoon, and to run between them as half waves of a cosine: near enough to
hourly readings for rates that are summed over days (common practice; compare the two-sine day of
Reicosky, Winkelman, Baker and Baker 1989, Agricultural and Forest Meteorology 46:193-209, from
memory). Air in a shed or a bin follows it as ``dT/dt = (ln 2 / lag) (T_out - T)``: late, and with
less of a swing.

Times are hours since a common epoch; temperatures degrees Celsius; differences kelvins.
"""

import math
from typing import Protocol

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike

DAY_H = 24.0
_REFINED_UNTIL = 12.0
"""Half-cooling times after a step until the settled pulp has made all but 1 part in 4000 of it."""

_AFTER_STEP = np.concatenate([np.arange(0.0, _REFINED_UNTIL, 0.25), np.arange(12.0, 33.0, 2.0)])
"""Half-cooling times after a step at which its clocks have knots: close at first, then far apart
until what is left of the step no longer shows in the ninth digit."""


class Air(Protocol):
    """Air of one place: what the thermometer says, and what settled pulp does."""

    half_cooling_h: float

    def air_c(self, hours: FloatsLike) -> Floats:
        """Air temperature (C) at times (h)."""

    def pulp_c(self, hours: FloatsLike) -> Floats:
        """Temperature (C) of pulp that has been there for long, at times (h)."""

    def knots(self, start_h: float, end_h: float) -> Floats:
        """Times (h) between which :meth:`pulp_c` is smooth, from start to end, increasing."""


class ScheduledAir:
    """Air held at set points, with a daily swing around them.

    ``change_h`` (increasing) and ``set_point_c`` are the set-point changes; the first set point
    also holds before its time. The air swings ``swing_k`` above and below, warmest at
    ``warmest_h`` (any one such hour).
    """

    def __init__(
        self,
        change_h: FloatsLike,
        set_point_c: FloatsLike,
        half_cooling_h: float,
        swing_k: float = 0.0,
        warmest_h: float = 0.0,
    ) -> None:
        self.half_cooling_h = half_cooling_h
        self.change_h = np.atleast_1d(np.asarray(change_h, float))
        self._set_point_c = np.atleast_1d(np.asarray(set_point_c, float))
        self._swing_k = swing_k
        self._warmest_h = warmest_h
        decay = math.log(2.0) / half_cooling_h
        turn = 2.0 * math.pi / DAY_H
        # The periodic answer of first-order cooling to a cosine: damped and late.
        self._damped_k = swing_k / math.hypot(1.0, turn / decay)
        self._late_rad = math.atan2(turn, decay)

    def air_c(self, hours: FloatsLike) -> Floats:
        """Set point in force plus the swing (C)."""
        at = np.asarray(hours, float)
        which = np.searchsorted(self.change_h, at, side="right") - 1
        air = self._set_point_c[np.maximum(which, 0)]
        if self._swing_k:
            air = air + self._swing_k * np.cos(2.0 * math.pi / DAY_H * (at - self._warmest_h))
        return np.asarray(air)

    def pulp_c(self, hours: FloatsLike) -> Floats:
        """Settled pulp (C): exact sum of the answers to every step and to the swing."""
        at = np.asarray(hours, float)
        pulp = np.full(at.shape, self._set_point_c[0])
        steps = np.diff(self._set_point_c)
        for change_h, step_k in zip(self.change_h[1:], steps, strict=True):
            since = np.maximum(at - change_h, 0.0)
            pulp += step_k * -np.expm1(since * (-math.log(2.0) / self.half_cooling_h))
        if self._damped_k:
            phase = 2.0 * math.pi / DAY_H * (at - self._warmest_h) - self._late_rad
            pulp += self._damped_k * np.cos(phase)
        return pulp

    def knots(self, start_h: float, end_h: float) -> Floats:
        """Hourly under a swing; else only where the pulp is on its way after a step."""
        after_steps = (self.change_h[1:, None] + _AFTER_STEP * self.half_cooling_h).ravel()
        hourly = np.arange(start_h, end_h) if self._swing_k else np.array([start_h])
        inside = after_steps[(after_steps > start_h) & (after_steps < end_h)]
        return np.unique(np.concatenate([hourly, inside, [end_h]]))


class LoggedAir:
    """Air as a logger wrote it down: straight lines between readings, held level outside them.

    ``reading_h`` must increase. Pulp is taken as settled at the first reading.
    """

    def __init__(self, reading_h: FloatsLike, reading_c: FloatsLike, half_cooling_h: float) -> None:
        self.half_cooling_h = half_cooling_h
        self._h = np.asarray(reading_h, float)
        self._c = np.asarray(reading_c, float)
        self._decay_per_h = math.log(2.0) / half_cooling_h
        gap_h = np.diff(self._h)
        self._slope_k_per_h = np.append(np.diff(self._c) / gap_h, 0.0)
        # On each straight piece pulp - air = -slope/decay + (what it began with) * exp(-decay t):
        # exact at the readings, and a first-order recursion from one to the next.
        keep = np.exp(-self._decay_per_h * gap_h)
        behind = self._slope_k_per_h[:-1] / self._decay_per_h
        self._lead_k = first_order(keep, -behind * (1.0 - keep))

    def air_c(self, hours: FloatsLike) -> Floats:
        """Straight lines between the readings (C)."""
        return np.asarray(np.interp(np.asarray(hours, float), self._h, self._c))

    def pulp_c(self, hours: FloatsLike) -> Floats:
        """Settled pulp (C), exact for air that runs straight between the readings."""
        at = np.asarray(hours, float)
        piece = np.clip(np.searchsorted(self._h, at, side="right") - 1, 0, self._h.size - 1)
        since = np.maximum(at - self._h[piece], 0.0)
        behind = self._slope_k_per_h[piece] / self._decay_per_h
        faded = np.exp(-self._decay_per_h * since)
        return np.asarray(self.air_c(at) - behind + (self._lead_k[piece] + behind) * faded)

    def knots(self, start_h: float, end_h: float) -> Floats:
        """The readings, and points an hour or a quarter of a half-cooling time apart."""
        even = np.arange(start_h, end_h, min(1.0, self.half_cooling_h / 4.0))
        inside = self._h[(self._h > start_h) & (self._h < end_h)]
        return np.unique(np.concatenate([even, inside, [end_h]]))


COLDEST_HOUR, WARMEST_HOUR = 6.0, 15.0
"""Local hours of the day's extremes (common practice, no source)."""

STEP_H = 0.5
"""Points of the curve are no farther apart."""


def through_the_days(
    midnight_h: FloatsLike, min_c: FloatsLike, max_c: FloatsLike
) -> tuple[Floats, Floats]:
    """Times (h) and temperatures (C) of consecutive days, each (days,), in half-hour steps.

    ``midnight_h`` is when each begins. From the first day's midnight to the last one's end; before
    the first and after the last extreme the air is that of the same hour in the nearest day.
    """
    starts = np.asarray(midnight_h, float)
    low, high = np.asarray(min_c, float), np.asarray(max_c, float)
    extreme_h = np.column_stack([starts + COLDEST_HOUR, starts + WARMEST_HOUR]).ravel()
    extreme_c = np.column_stack([low, high]).ravel()
    before = extreme_h[0] - (DAY_H - WARMEST_HOUR + COLDEST_HOUR)
    after = extreme_h[-1] + (DAY_H - WARMEST_HOUR + COLDEST_HOUR)
    extreme_h = np.concatenate([[before], extreme_h, [after]])
    extreme_c = np.concatenate([[high[0]], extreme_c, [low[-1]]])
    hours = np.arange(starts[0], starts[-1] + DAY_H + STEP_H / 2.0, STEP_H)
    piece = np.clip(np.searchsorted(extreme_h, hours, side="right") - 1, 0, extreme_h.size - 2)
    done = (hours - extreme_h[piece]) / (extreme_h[piece + 1] - extreme_h[piece])
    gone = (1.0 - np.cos(np.pi * done)) / 2.0
    return hours, extreme_c[piece] + gone * (extreme_c[piece + 1] - extreme_c[piece])


def following(hours: Floats, outdoors_c: Floats, lag_h: float) -> Floats:
    """Air (C) that goes half of the way to the air outdoors in ``lag_h`` hours, at even steps.

    It begins with the mean of the first day, as if days before had been like it. Exact for air
    outdoors that runs straight between the times.
    """
    if lag_h <= 0.0:
        return outdoors_c
    step_h = float(hours[1] - hours[0])
    rate = math.log(2.0) / lag_h
    keep = math.exp(-rate * step_h)
    # The exact answer to a straight piece: part of its beginning and part of its end.
    of_end = 1.0 - (1.0 - keep) / (rate * step_h)
    of_begin = (1.0 - keep) - of_end
    day = outdoors_c[: round(DAY_H / step_h)]
    driven = of_begin * outdoors_c[:-1] + of_end * outdoors_c[1:]
    began = float(day.mean())
    return first_order(np.full(driven.size, keep), driven, began)


_GONE = 1e-30
"""What is kept of a value is nothing when it comes to this part of it."""


def first_order(keep: Floats, gain: Floats, first: float = 0.0) -> Floats:
    """``y[n+1] = keep[n] * y[n] + gain[n]`` from ``y[0] = first``, shape (n + 1,).

    ``keep`` lies between 0 and 1. By doubling (Hillis and Steele 1986, Data parallel algorithms,
    Communications of the ACM 29:1170-1183; from memory): each round adds to a value what twice as
    many steps before it have left, so that irregular steps cost no Python loop. Most often it ends
    after a few rounds, as what lies so far back has faded.
    """
    kept, found = keep.copy(), gain.copy()
    if found.size:
        found[0] += kept[0] * first
    step = 1
    while step < found.size and kept[step:].max() > _GONE:
        found[step:] += kept[step:] * found[:-step]
        kept[step:] *= kept[:-step]
        step *= 2
    return np.concatenate([[first], found])

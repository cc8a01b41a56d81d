"""Air temperature of a place over time, and the temperature of pulp that has settled in it.

Pulp follows the air as ``dT/dt = (ln 2 / z) (T_air - T)`` with half-cooling time ``z`` (first-order
cooling, so seven-eighths of the way takes 3 z: USDA Agriculture Handbook 66, from memory). Because
that equation is linear, the pulp of fruit that came in ``d`` kelvins warmer than settled fruit is
at any later time the settled pulp plus ``d * 2 ** (-t / z)``; so one settled curve serves every
batch of a place.

Times are hours since a common epoch; temperatures degrees Celsius; differences kelvins.
"""

import math
from typing import Protocol

import numpy as np

from ripenroom.science.recursion import first_order
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

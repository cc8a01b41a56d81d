"""The clocks of a room, which is a crop in a place: how far some process has got by any hour.

``theta(t) = integral of rate(T_pulp(s)) ds / 24``, in days at unit rate (reference days where the
rate is a :class:`~ripenroom.science.temperature.Response`). One clock serves every batch of a crop
in a place; the time at which an amount is reached is one interpolation in its inverse. Averaging
temperature first would be wrong (Jensen's inequality); the rate is integrated.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from ripenroom.science.air import DAY_H, Air
from ripenroom.science.softening import Floats

Indices = npt.NDArray[np.intp]

RateOfTemperature = Callable[[Floats], Floats]
"""From pulp temperature (C) to a rate (per day at unit rate)."""

_FAR_H = 24.0 * 365.0 * 3.0
"""Clocks run on at their last day's pace for three years: no fruit waits longer."""

# Three-point Gauss-Legendre on each interval between knots: with hourly knots its error is under
# 1e-8 of the clock for daily swings and for half-cooling times of an hour or more.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(3)


@dataclass(frozen=True, slots=True)
class Clock:
    """Advance ``theta`` (days at unit rate) at increasing ``hours``; straight in between."""

    hours: Floats
    theta: Floats

    def at(self, hours: Floats) -> Floats:
        """Advance at hours, of their shape."""
        return np.asarray(np.interp(hours, self.hours, self.theta))


class SettledPulp:
    """Settled pulp of one place, sampled once for all the clocks that run on it."""

    def __init__(self, air: Air, start_h: float, end_h: float) -> None:
        """Sample from ``start_h`` to ``end_h``; clocks run on from there into the far future."""
        self._knots = air.knots(start_h, end_h)
        self._half = np.diff(self._knots) / 2.0
        middle = self._knots[:-1] + self._half
        self._celsius = air.pulp_c(middle[:, None] + self._half[:, None] * _NODES)
        # All clocks share it: of many places they are most of what is kept.
        self.hours = np.append(self._knots, self._knots[-1] + _FAR_H)

    def clock(self, rate: RateOfTemperature) -> Clock:
        """The clock of one process; three evaluations of its rate per knot."""
        advance = (rate(self._celsius) @ _WEIGHTS) * self._half / DAY_H
        theta = np.zeros(self.hours.size)
        so_far = theta[:-1]
        np.cumsum(advance, out=so_far[1:])
        end_h = self._knots[-1]
        last_day_h = max(self._knots[0], end_h - DAY_H)
        pace = (so_far[-1] - np.interp(last_day_h, self._knots, so_far)) / (end_h - last_day_h)
        theta[-1] = so_far[-1] + pace * _FAR_H
        return Clock(hours=self.hours, theta=theta)


class ClockKnots:
    """The knots of many rooms end to end in one array, so that one look-up serves them all.

    All kinds of clock of a room share its knots: where an hour lies among them is found once, as a
    *position* (knot number plus the share of the way to the next), and then read for each kind.
    """

    def __init__(self, hours: Sequence[Floats]) -> None:
        """``hours`` of each room, increasing."""
        sizes = np.array([h.size for h in hours])
        self.first_knot = np.concatenate([[0], np.cumsum(sizes)[:-1]])
        self.last_knot = self.first_knot + sizes - 1
        self.hours = np.concatenate(list(hours))
        self._first_h = self.hours[self.first_knot]
        # Rooms are set apart on the axis of hours by twice the longest room. That costs about
        # 1e-9 hours of precision for a hundred rooms.
        length = (self.hours[self.last_knot] - self._first_h).max()
        self._shift_h = np.arange(sizes.size) * 2.0 * length - self._first_h
        self._key = self.hours + np.repeat(self._shift_h, sizes)
        self._number = np.arange(self.hours.size, dtype=float)

    def position(self, room: Indices, hours: Floats) -> Floats:
        """Positions of hours in rooms; arrays broadcast. Before a room's first knot, that knot."""
        query = np.maximum(hours, self._first_h[room]) + self._shift_h[room]
        return np.asarray(np.interp(query, self._key, self._number))


class ClockTable:
    """One kind of clock for every room: advance ``theta`` at all knots of a :class:`ClockKnots`."""

    def __init__(self, knots: ClockKnots, theta: Floats) -> None:
        """``theta`` begins at 0 in every room and does not fall where :meth:`hours_at` is used."""
        self._knots = knots
        self._theta = theta
        self._end_theta = theta[knots.last_knot]

    @property
    def clocks(self) -> int:
        """How many rooms have a clock here."""
        return int(self._end_theta.size)

    def read(self, position: Floats) -> Floats:
        """Advance at positions."""
        return self._read(position)[0]

    def _read(self, position: Floats) -> tuple[Floats, Floats, Indices]:
        """Advance, its step to the next knot, and the knot before."""
        knot = np.minimum(position.astype(np.intp), self._theta.size - 2)
        theta = self._theta.take(knot)
        step = self._theta.take(knot + 1) - theta
        return theta + (position - knot) * step, step, knot

    def theta_at(self, clock: Indices, hours: Floats) -> Floats:
        """Advance of clock number ``clock`` at ``hours``; arrays broadcast."""
        return self.read(self._knots.position(clock, hours))

    def theta_and_pace(self, clock: Indices, hours: Floats) -> tuple[Floats, Floats]:
        """:meth:`theta_at`, and the advance per hour there."""
        theta, step, knot = self._read(self._knots.position(clock, hours))
        length = self._knots.hours.take(knot + 1) - self._knots.hours.take(knot)
        return theta, np.asarray(step / length)

    def table(self, hours: Floats) -> Floats:
        """Advance of every clock at increasing ``hours`` (n,); shape (clocks, n)."""
        return self.theta_at(np.arange(self._end_theta.size)[:, None], hours)

    @cached_property
    def _shift_theta(self) -> Floats:
        rooms = np.arange(self._end_theta.size)
        return np.asarray(rooms * (2.0 * np.abs(self._end_theta).max() + 1.0))

    @cached_property
    def _key(self) -> Floats:
        sizes = self._knots.last_knot - self._knots.first_knot + 1
        return np.asarray(self._theta + np.repeat(self._shift_theta, sizes))

    def hours_at(self, clock: Indices, theta: Floats) -> Floats:
        """Hour at which clock number ``clock`` has advanced to ``theta``; inf where it never does.

        An advance below 0 gives the clock's first hour.
        """
        reached = theta <= self._end_theta[clock]
        hours = np.full(np.broadcast(clock, theta).shape, np.inf)
        query = np.maximum(theta, 0.0) + self._shift_theta[clock]
        # Column by column: lines that follow each other ask for neighbouring knots.
        by_column = np.interp(query.T[reached.T], self._key, self._knots.hours)
        hours.T[reached.T] = by_column
        return hours

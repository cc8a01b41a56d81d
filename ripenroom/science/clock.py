"""The ageing clock of a place: how much some process has advanced by any hour.

``theta(t) = integral of rate(T_pulp(s)) ds / 24``, in days at unit rate (reference days where the
rate is a :class:`~ripenroom.science.temperature.Response`). One clock serves every batch of a crop
in a place; the time at which an amount is reached is one interpolation in its inverse. Averaging
temperature first would be wrong (Jensen's inequality); the rate is integrated.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

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


class SettledPulp:
    """Settled pulp of one place, sampled once for all the clocks that run on it."""

    def __init__(self, air: Air, start_h: float, end_h: float) -> None:
        """Sample from ``start_h`` to ``end_h``; clocks run on from there into the far future."""
        self._knots = air.knots(start_h, end_h)
        self._half = np.diff(self._knots) / 2.0
        middle = self._knots[:-1] + self._half
        self._celsius = air.pulp_c(middle[:, None] + self._half[:, None] * _NODES)

    def clock(self, rate: RateOfTemperature) -> Clock:
        """The clock of one process; three evaluations of its rate per knot."""
        advance = (rate(self._celsius) @ _WEIGHTS) * self._half / DAY_H
        theta = np.concatenate([[0.0], np.cumsum(advance)])
        end_h = self._knots[-1]
        last_day_h = max(self._knots[0], end_h - DAY_H)
        pace = (theta[-1] - np.interp(last_day_h, self._knots, theta)) / (end_h - last_day_h)
        return Clock(
            hours=np.append(self._knots, end_h + _FAR_H),
            theta=np.append(theta, theta[-1] + pace * _FAR_H),
        )


class ClockShelf:
    """Several clocks end to end in one pair of arrays, so that one interpolation serves them all.

    Clock number ``c`` is shifted by ``c`` spans on both axes, and a look-up shifts its query
    alike. The shift costs about 1e-10 days of precision for a hundred clocks.
    """

    def __init__(self, clocks: Sequence[Clock]) -> None:
        self._end_theta = np.array([c.theta[-1] for c in clocks])
        self._first_h = np.array([c.hours[0] for c in clocks])
        number = np.arange(len(clocks))
        self._shift_theta = number * (2.0 * self._end_theta.max() + 1.0)
        self._shift_h = number * 2.0 * max(c.hours[-1] - c.hours[0] for c in clocks) - self._first_h
        self._hours = np.concatenate(
            [c.hours + h for c, h in zip(clocks, self._shift_h, strict=True)]
        )
        self._theta = np.concatenate(
            [c.theta + theta for c, theta in zip(clocks, self._shift_theta, strict=True)]
        )

    def theta_at(self, clock: Indices, hours: Floats) -> Floats:
        """Advance of clock number ``clock`` at ``hours``; arrays broadcast."""
        query = hours + self._shift_h[clock]
        return np.asarray(np.interp(query, self._hours, self._theta) - self._shift_theta[clock])

    def table(self, hours: Floats) -> Floats:
        """Advance of every clock at increasing ``hours`` (n,); shape (clocks, n)."""
        return self.theta_at(np.arange(self._end_theta.size)[:, None], hours)

    def hours_at(self, clock: Indices, theta: Floats) -> Floats:
        """Hour at which clock number ``clock`` has advanced to ``theta``; inf where it never does.

        An advance below 0 gives the clock's first hour.
        """
        query = np.maximum(theta, 0.0) + self._shift_theta[clock]
        # Column by column: lines that follow each other ask for neighbouring knots.
        hours = np.interp(query.T, self._theta, self._hours).T - self._shift_h[clock]
        return np.asarray(np.where(theta <= self._end_theta[clock], hours, np.inf))

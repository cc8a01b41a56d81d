"""Allowances that cold uses up: chilling injury, and the longest useful storage.

Published tables say how long fruit may stay at a temperature. A day at temperature T uses up the
share ``1 / L(T)`` of the allowance, and shares add up over a journey (the usual rule for
accumulating damage; common practice, no source). Between published temperatures ``ln L`` runs
straight, and so do the logs of the low and high ends of its range: where the ends are shares of the
middle that differ from temperature to temperature, each end is used up by a process of its own.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike


@dataclass(frozen=True, slots=True)
class Allowance:
    """Days ``days`` allowed at increasing ``temperature_c`` (C); colder than the first, its days.

    At or above ``none_from_c`` nothing is used up.
    """

    temperature_c: tuple[float, ...]
    days: tuple[float, ...]
    none_from_c: float

    def use_per_day(self, celsius: FloatsLike) -> Floats:
        """Share of the allowance that a day at each temperature (C) uses up."""
        at = np.asarray(celsius, float)
        log_days = np.interp(at, self.temperature_c, np.log(self.days))
        return np.where(at < self.none_from_c, np.exp(-log_days), 0.0)


_SAME_SHARE = 1e-9
"""Shares of the middle that differ by less, relatively, are one."""


class UsedBy(NamedTuple):
    """One end of an allowance's range: used up when ``allowance`` has come to ``share``."""

    allowance: Allowance
    share: float


@dataclass(frozen=True, slots=True)
class AllowanceRange:
    """An allowance and the ends of its 80 % range, all three at the same temperatures."""

    low: Allowance
    mid: Allowance
    high: Allowance

    @property
    def soonest(self) -> UsedBy:
        """The low end: on the middle's own clock if it is one share of it, else on its own."""
        return self._used_by(self.low)

    @property
    def latest(self) -> UsedBy:
        """The high end, as :attr:`soonest`."""
        return self._used_by(self.high)

    @property
    def clocks(self) -> tuple[Allowance, Allowance, Allowance]:
        """What uses up the low end, the middle and the high end."""
        return self.soonest.allowance, self.mid, self.latest.allowance

    def _used_by(self, end: Allowance) -> UsedBy:
        shares = np.divide(end.days, self.mid.days)
        if np.ptp(shares) <= _SAME_SHARE * shares[0]:
            return UsedBy(self.mid, float(shares[0]))
        return UsedBy(end, 1.0)

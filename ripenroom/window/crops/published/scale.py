"""Where a number stands on the axis of a group, and which numbers are written on it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

_NICE = (1.0, 2.0, 5.0, 10.0)
_AIR = 0.05
"""Of an axis, what is left free beside its outermost number."""

_LEAST_SHARE = 0.5
"""An axis of numbers above 0 begins at 0 unless the least is more than this part of the most."""


@dataclass(frozen=True, slots=True)
class Scale:
    """From ``least`` to ``most``; by logarithm (both above 0) or straight."""

    least: float
    most: float
    log: bool = False

    @classmethod
    def over(cls, values: Iterable[float]) -> "Scale":
        """A straight axis that holds all values; infinite and nan do not count."""
        known = [value for value in values if math.isfinite(value)] or [0.0]
        least, most = min(known), max(known)
        if 0.0 <= least <= _LEAST_SHARE * most:
            return cls(0.0, most * (1.0 + _AIR))
        air = max(2.0 * _AIR * (most - least), _AIR * abs(most), 0.1)
        return cls(least - air, most + air)

    @classmethod
    def by_logarithm(cls, values: Iterable[float], least: float) -> "Scale":
        """A logarithmic axis that holds all values; what is below ``least`` stands at its end."""
        known = [value for value in values if math.isfinite(value) and value >= least]
        low, high = min(known, default=least), max(known, default=10.0 * least)
        air = (max(high / low, 2.0)) ** _AIR
        return cls(low / air, high * air, log=True)

    def at(self, value: float) -> float:
        """The place of a number as a share of the axis, 0 to 1; beyond its ends it stands there."""
        if not self.log:
            share = (value - self.least) / (self.most - self.least)
        elif value <= self.least:
            return 0.0
        else:
            share = math.log(value / self.least) / math.log(self.most / self.least)
        return min(max(share, 0.0), 1.0)

    def ticks(self, most: int) -> list[float]:
        """At most so many round numbers on the axis, but two where it has as many."""
        return self._decades(most) if self.log else self._steps(most)

    def _decades(self, most: int) -> list[float]:
        first, last = math.floor(math.log10(self.least)), math.ceil(math.log10(self.most))
        nice: list[float] = []
        for digits in (_NICE[:3], (1.0, 3.0), _NICE[:1]):
            nice = [digit * 10.0**n for n in range(first, last + 1) for digit in digits]
            nice = [tick for tick in nice if self.least <= tick <= self.most]
            if len(nice) <= most:
                break
        return nice

    def _steps(self, most: int) -> list[float]:
        rough = (self.most - self.least) / max(most, 1)
        power = 10.0 ** math.floor(math.log10(rough))
        step = next(nice * power for nice in _NICE if nice * power >= rough * (1.0 - 1e-9))
        first, last = math.ceil(self.least / step), math.floor(self.most / step)
        return [n * step for n in range(first, last + 1)]

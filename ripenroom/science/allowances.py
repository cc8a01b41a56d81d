"""What ends a batch besides softening: its ripe life, chilling injury, storage life and freezing.

The last three are allowances of days that time at a temperature uses up.

Published tables say how long fruit may stay at a temperature. A day at temperature T uses up the
share ``1 / L(T)`` of the allowance, and shares add up over a journey (the usual rule for
accumulating damage; common practice, no source). Between published temperatures ``ln L`` runs
straight, and so do the logs of the low and high ends of its range: where the ends are shares of the
middle that differ from temperature to temperature, each end is used up by a process of its own.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np

from ripenroom.science.age_gain import RipeLifeClocks
from ripenroom.science.clock import Indices
from ripenroom.science.doubtful_date import DateRange
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.softening import Floats, FloatsLike


@dataclass(frozen=True)
class UsedUp:
    """An allowance (or a need) of every batch, and how far it is used up (or met).

    ``used`` runs by the middle of its 80 % range, ``run_ends`` makes the clocks by its low and its
    high end (None: both are the same share of the middle at every temperature, and run on its
    clock), which not every question needs. ``shares`` (batches, 3) are what the clocks of low end,
    middle and high end read when it is gone: 1 on a clock of its own.
    """

    used: ClockAdvance
    shares: Floats
    run_ends: Callable[[], tuple[ClockAdvance, ClockAdvance]] | None = None

    @classmethod
    def on_one_clock(cls, used: ClockAdvance, low: Floats, high: Floats) -> "UsedUp":
        """With ends that are shares ``low`` and ``high`` (batches,) of the middle allowance."""
        return cls(used, np.column_stack([low, np.ones(low.size), high]))

    @cached_property
    def ends(self) -> tuple[ClockAdvance, ClockAdvance]:
        """The clocks of the low end and of the high end."""
        return (self.used, self.used) if self.run_ends is None else self.run_ends()

    @property
    def clocks(self) -> tuple[ClockAdvance, ClockAdvance, ClockAdvance]:
        """The clocks of the low end, the middle and the high end."""
        soonest, latest = self.ends
        return soonest, self.used, latest

    def of(self, lines: Indices | slice) -> "UsedUp":
        """That of some batches only."""
        used, shares = self.used.of(lines), self.shares[lines]
        if self.run_ends is None:
            return UsedUp(used, shares)

        def ends() -> tuple[ClockAdvance, ClockAdvance]:
            soonest, latest = self.ends
            return soonest.of(lines), latest.of(lines)

        return UsedUp(used, shares, ends)

    def times(self, factor: Floats) -> "UsedUp":
        """Of batches of which each has ``factor`` (batches,) times the allowance or need."""
        return UsedUp(self.used, self.shares * factor[:, None], self.run_ends)

    def shares_at(self, hours: Floats) -> tuple[Floats, Floats, Floats]:
        """Shares of the low end, the middle and the high end used up by each batch's hour, all of
        shape (batches,)."""
        at = self.used.at(hours[:, None])[:, 0]
        low, high = (
            at if self.run_ends is None else clock.at(hours[:, None])[:, 0] for clock in self.ends
        )
        of_low, of_mid, of_high = self.shares.T
        return low / of_low, at / of_mid, high / of_high

    def when(self, times: Floats) -> tuple[Floats, Floats, Floats]:
        """Hours at which so many ``times`` (batches, n) it are gone, by the low end, by the middle
        and by the high end, each of shape (batches, n); inf where they never are."""
        wanted = [self.shares[:, end : end + 1] * times for end in range(3)]
        if self.run_ends is None:
            low, mid, high = np.hsplit(self.used.when(np.hstack(wanted)), 3)
            return low, mid, high
        low, mid, high = (
            clock.when(of_end) for clock, of_end in zip(self.clocks, wanted, strict=True)
        )
        return low, mid, high

    def out(self) -> DateRange:
        """When it is gone; inf where it never is."""
        return DateRange(*(hours[:, 0] for hours in self.when(np.ones((self.shares.shape[0], 1)))))


@dataclass(frozen=True, slots=True)
class AllowanceClocks:
    """Clocks beside softening that can end a batch: ripe life, chilling, storage life and freezing.

    Fruit whose ``freezing`` is used up is frozen.
    """

    ripe_life: RipeLifeClocks
    chilling: UsedUp
    storage: UsedUp
    freezing: UsedUp

    def of(self, lines: Indices | slice) -> "AllowanceClocks":
        """The limits of some batches only."""
        return AllowanceClocks(
            self.ripe_life.of(lines),
            self.chilling.of(lines),
            self.storage.of(lines),
            self.freezing.of(lines),
        )

    @property
    def allowances(self) -> tuple[UsedUp, UsedUp, UsedUp]:
        """Those that end all fruit of a batch at once."""
        return self.chilling, self.storage, self.freezing

    def out_h(self) -> Floats:
        """When the first allowance is gone (h), (batches,); inf where none ever is."""
        out = [own.used.when(own.shares[:, 1:2])[:, 0] for own in self.allowances]
        return np.asarray(np.minimum.reduce(out))


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
        uses = at < self.none_from_c
        if not uses.any():  # as in most places
            return np.zeros(at.shape)
        log_days = np.interp(at, self.temperature_c, _log(self.days))
        return np.where(uses, np.exp(-log_days), 0.0)


@lru_cache(maxsize=512)
def _log(days: tuple[float, ...]) -> Floats:
    """Kept, as every clock and every lag of an allowance asks for it."""
    return np.log(days)


_SAME_SHARE = 1e-9
"""Shares of the middle that differ by less, relatively, are one."""


class UsedBy(NamedTuple):
    """One end of an allowance's range: used up when ``allowance`` has come to ``share``."""

    allowance: Allowance
    share: float


@dataclass(frozen=True)
class AllowanceRange:
    """An allowance and the ends of its 80 % range, all three at the same temperatures."""

    low: Allowance
    mid: Allowance
    high: Allowance

    @cached_property
    def soonest(self) -> UsedBy:
        """The low end: on the middle's own clock if it is one share of it, else on its own."""
        return self._used_by(self.low)

    @cached_property
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

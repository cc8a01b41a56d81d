"""Ageing of every batch along its journey: its places' clocks, and the lag after each move."""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.lag import Lag
from ripenroom.science.progress import Arrivals, Progress
from ripenroom.science.softening import Floats

_NONE: tuple[Indices, Indices] = (np.empty(0, np.intp), np.empty(0, np.intp))

_ROOT_H = 0.05
"""Dates are found to within this many hours, far inside any range."""

_MOST_STEPS = 20
_FARTHEST_STEP_H = 24.0


@dataclass(frozen=True, slots=True)
class Ageing:
    """Reference days that every batch has aged since its pick. Made by :meth:`along`."""

    clocked: Progress
    lag: Lag

    @classmethod
    def along(cls, arrivals: Arrivals, theta: Floats, lag: Lag) -> "Ageing":
        """Ageing along the stays of ``arrivals``; ``theta`` is the ageing clocks' advance."""
        return cls(Progress.along(arrivals, theta, lag.whole), lag)

    def of(self, lines: Indices | slice) -> "Ageing":
        """The ageing of some batches only, which may repeat."""
        return Ageing(self.clocked.of(lines), self.lag.of(lines))

    @property
    def stays(self) -> Stays:
        """The stays along which the fruit ages."""
        return self.clocked.stays

    def since_opening(self, progress: Progress, hours: Floats) -> Floats:
        """What another clock has gained by hours (batches, n): all, as nothing is gated here."""
        return progress.at(hours)

    def at(self, hours: Floats) -> Floats:
        """Reference days of each batch at its hours; shapes (batches, n). 0 before the pick."""
        hours = np.maximum(hours, self.stays.start_h[:, :1])
        stay = self.stays.at(hours)
        days = self.clocked.at(hours) + Stays.entry(self.lag.whole, stay)
        # That holds once a lag is over; the rest is mended one by one.
        since = hours - Stays.entry(self.stays.start_h, stay)
        batch, column = np.nonzero(since < Stays.entry(self.lag.over_h, stay))
        if batch.size:
            own = stay[batch, column]
            days[batch, column] -= self.lag.whole[batch, own]
            days[batch, column] += self.lag.so_far(batch, own, since[batch, column])
        return days

    def at_common(self, hours: Floats) -> Floats:
        """Reference days of every batch at the same hours (n,); answer (batches, n), 0 before."""
        days = self.clocked.at_common(hours)
        days += self.lag.whole[:, -1, None]
        # That holds once the last lag is over; the few earlier hours are mended one by one.
        over_h = self.stays.start_h[:, -1] + self.lag.over_h[:, -1]
        batch, hour = np.nonzero(hours < over_h[:, None]) if (hours[:1] < over_h).any() else _NONE
        if batch.size:
            at_h = hours[hour]
            begun = self.stays.start_h[batch] <= at_h[:, None]
            stay = np.maximum(begun.sum(axis=1) - 1, 0)
            since = np.maximum(at_h - self.stays.start_h[batch, stay], 0.0)
            whole = self.lag.whole[batch, stay]
            under_way = since < self.lag.over_h[batch, stay]
            mended = days[batch, hour] - self.lag.whole[batch, -1]
            mended += np.where(under_way, self.lag.so_far(batch, stay, since), whole)
            picked = at_h > self.stays.start_h[batch, 0]
            days[batch, hour] = np.where(picked, mended, 0.0)
        return days

    def when(self, days: Floats) -> Floats:
        """Hours at which each batch has aged these reference days; shapes (batches, n)."""
        stay, target = self.clocked.locate(days)
        clock = Stays.entry(self.clocked.clock, stay)
        start = Stays.entry(self.stays.start_h, stay)
        shelf = self.clocked.shelf
        hours = shelf.hours_at(clock, target - Stays.entry(self.lag.whole, stay))
        # As if the lag were complete; where it is not, Newton from here. Warm pulp in a cold place
        # slows down and cold pulp in a warm one speeds up, so each step stays on its own side of
        # the root and no bracket is needed.
        batch, column = np.nonzero(hours - start < Stays.entry(self.lag.over_h, stay))
        hours[batch, column] = np.maximum(hours[batch, column], start[batch, column])
        for _ in range(_MOST_STEPS):
            if not batch.size:
                break
            here = hours[batch, column]
            own = stay[batch, column]
            since = here - start[batch, column]
            theta, pace = shelf.theta_and_pace(clock[batch, column], here)
            short = target[batch, column] - theta - self.lag.so_far(batch, own, since)
            step = short / (pace + self.lag.pace(batch, own, since))
            step = np.clip(step, -since, _FARTHEST_STEP_H)
            # Taking all of since away again may end a rounding before the stay.
            hours[batch, column] = np.maximum(here + step, start[batch, column])
            unsettled = np.abs(step) > _ROOT_H
            batch, column = batch[unsettled], column[unsettled]
        return hours

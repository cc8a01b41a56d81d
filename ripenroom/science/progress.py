"""How far a process has come for every batch along its journey, and when it gets anywhere.

A process runs on the pulp: on the clock of the batch's place, which knows settled pulp, and on the
lag of pulp that has not settled there yet.
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import ClockKnots, ClockTable, Indices
from ripenroom.science.cooling_lag import Lag
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats

_NONE: tuple[Indices, Indices] = (np.empty(0, np.intp), np.empty(0, np.intp))

_ROOT_H = 0.05
"""Dates are found to within this many hours, far inside any range."""

_MOST_STEPS = 40


class Arrivals:
    """Where on its room's knots each stay begins and ends: looked up once for every kind of clock.

    ``room`` numbers the room of each stay, shape (batches, most stays).
    """

    def __init__(self, stays: Stays, knots: ClockKnots, room: Indices) -> None:
        self.stays = stays
        self.knots = knots
        self.room = room
        self.begin = knots.position(room, stays.start_h)
        self.end = knots.position(room[:, :-1], stays.start_h[:, 1:])


@dataclass(frozen=True, slots=True)
class ClockAdvance:
    """Advance of one process for all batches, counted from the start of the first stay.

    ``clock`` says which clock of the shelf runs in each stay, shape (batches, most stays), and
    ``lag`` what unsettled pulp adds to it (None: nothing). Made by :meth:`along`; ``before`` is the
    advance as each stay begins and ``offset`` what to add to its clock's reading.
    """

    stays: Stays
    shelf: ClockTable
    clock: Indices
    before: Floats
    offset: Floats
    lag: Lag | None

    @classmethod
    def along(cls, arrivals: Arrivals, theta: Floats, lag: Lag | None = None) -> "ClockAdvance":
        """Progress along the stays of ``arrivals``, by clocks of advance ``theta`` on its knots."""
        shelf = ClockTable(arrivals.knots, theta)
        stays = arrivals.stays
        theta_at_start = shelf.read(arrivals.begin)
        before = np.zeros(stays.start_h.shape)
        if stays.start_h.shape[1] > 1:
            advance = shelf.read(arrivals.end) - theta_at_start[:, :-1]
            if lag is not None:
                advance += lag.whole[:, :-1]
            np.cumsum(advance, axis=1, out=before[:, 1:])
        return cls(stays, shelf, arrivals.room, before, before - theta_at_start, lag)

    def of(self, lines: Indices | slice) -> "ClockAdvance":
        """The progress of some batches only, which may repeat."""
        return ClockAdvance(
            self.stays.of(lines),
            self.shelf,
            self.clock[lines],
            self.before[lines],
            self.offset[lines],
            None if self.lag is None else self.lag.of(lines),
        )

    def settled_h(self) -> Floats:
        """When the last lag of each batch is over and only the clock counts (h), (batches,)."""
        last_h = self.stays.start_h[:, -1]
        return last_h if self.lag is None else np.asarray(last_h + self.lag.over_h[:, -1])

    def at(self, hours: Floats) -> Floats:
        """Advance of each batch at its hours; both shape (batches, n). 0 before the pick."""
        hours = np.maximum(hours, self.stays.start_h[:, :1])
        stay = self.stays.at(hours)
        theta = self.shelf.theta_at(Stays.entry(self.clock, stay), hours)
        advance = np.asarray(theta + Stays.entry(self.offset, stay))
        lag = self.lag
        if lag is None:
            return advance
        advance += Stays.entry(lag.whole, stay)
        # That holds once a lag is over; the rest is put right one by one.
        since = hours - Stays.entry(self.stays.start_h, stay)
        batch, column = np.nonzero(since < Stays.entry(lag.over_h, stay))
        if batch.size:
            own = stay[batch, column]
            advance[batch, column] -= lag.whole[batch, own]
            advance[batch, column] += lag.so_far(batch, own, since[batch, column])
        return advance

    def at_single(self, lines: Indices, hours: Floats) -> Floats:
        """:meth:`at` of single batches ``lines``, which may repeat; both of shape (n,).

        No table is copied for those that repeat.
        """
        starts, lag = self.stays.start_h, self.lag
        hours = np.maximum(hours, starts[lines, 0])
        stay = Stays.last_begun_of(starts, lines, hours)
        theta = self.shelf.theta_at(self.clock[lines, stay], hours)
        advance = np.asarray(theta + self.offset[lines, stay])
        if lag is None:
            return advance
        advance += lag.whole[lines, stay]
        since = hours - starts[lines, stay]
        some = np.flatnonzero(since < lag.over_h[lines, stay])
        if some.size:
            own = lines[some], stay[some]
            advance[some] -= lag.whole[own]
            advance[some] += lag.so_far(*own, since[some])
        return advance

    def at_common(self, hours: Floats) -> Floats:
        """Advance of every batch at the same ``hours``, shape (n,); answer (batches, n).

        Each clock is read once per hour and gathered, so the cost per batch and hour is a copy.
        0 before the pick.
        """
        advance = self._clocks_at_common(hours)
        lag, start_h = self.lag, self.stays.start_h
        if lag is not None:
            advance += lag.whole[:, -1, None]
        # That holds once the last lag is over; the few earlier hours are put right one by one.
        over_h = self.settled_h()
        batch, hour = np.nonzero(hours < over_h[:, None]) if (hours[:1] < over_h).any() else _NONE
        if not batch.size:
            return advance
        at_h = hours[hour]
        if lag is not None:
            stay = Stays.last_begun_of(start_h, batch, at_h)
            since = np.maximum(at_h - start_h[batch, stay], 0.0)
            under_way = since < lag.over_h[batch, stay]
            now = lag.whole[batch, stay]
            some = np.flatnonzero(under_way)
            now[some] = lag.so_far(batch[some], stay[some], since[some])
            advance[batch, hour] += now - lag.whole[batch, -1]
        unpicked = at_h <= start_h[batch, 0]
        advance[batch[unpicked], hour[unpicked]] = 0.0
        return advance

    def _clocks_at_common(self, hours: Floats) -> Floats:
        read = self.shelf.table(hours)
        last = self.stays.start_h.shape[1] - 1
        advance = read[self.clock[:, last]]
        advance += self.offset[:, last, None]
        if hours.size:
            # Only batches that move after the first of these hours need an earlier stay.
            moving = np.flatnonzero(self.stays.start_h[:, last] > hours[0])
            for stay in range(last - 1, -1, -1):
                earlier = read[self.clock[moving, stay]] + self.offset[moving, stay, None]
                still = hours < self.stays.start_h[moving, stay + 1, None]
                advance[moving] = np.where(still, earlier, advance[moving])
        return np.asarray(advance)

    def when(self, advance: Floats) -> Floats:
        """Hours at which each batch's advances are reached; shapes (batches, n).

        inf if never; the time of the pick for an advance of 0 or less.
        """
        wanted = np.maximum(advance, 0.0)
        stay = Stays.last_begun(self.before, wanted)
        target = wanted - Stays.entry(self.offset, stay)
        clock = Stays.entry(self.clock, stay)
        lag, picked_h = self.lag, self.stays.start_h[:, :1]
        if lag is None:
            return np.maximum(self.shelf.hours_at(clock, target), picked_h)
        # As if the lag were complete; where it is not, the root is looked for while it lasts.
        whole, start = Stays.entry(lag.whole, stay), Stays.entry(self.stays.start_h, stay)
        hours = self.shelf.hours_at(clock, target - whole)
        # A clock that stands still reads the same for ever: what the lag brings comes at once.
        hours = np.where(wanted - whole <= Stays.entry(self.before, stay), start, hours)
        batch, column = np.nonzero(hours - start < Stays.entry(lag.over_h, stay))
        if batch.size:
            own = stay[batch, column]
            target_there, hours_there = target[batch, column], hours[batch, column]
            hours[batch, column] = self._under_way(lag, batch, own, target_there, hours_there)
        return np.maximum(hours, picked_h)

    def when_single(self, lines: Indices, advance: Floats) -> Floats:
        """:meth:`when` of single batches ``lines``, which may repeat; both of shape (n,)."""
        wanted, starts = np.maximum(advance, 0.0), self.stays.start_h
        stay = Stays.last_begun_of(self.before, lines, wanted)
        target = wanted - self.offset[lines, stay]
        clock, picked_h, lag = self.clock[lines, stay], starts[lines, 0], self.lag
        if lag is None:
            return np.asarray(np.maximum(self.shelf.hours_at(clock, target), picked_h))
        whole, start = lag.whole[lines, stay], starts[lines, stay]
        hours = self.shelf.hours_at(clock, target - whole)
        hours = np.where(wanted - whole <= self.before[lines, stay], start, hours)
        some = np.flatnonzero(hours - start < lag.over_h[lines, stay])
        if some.size:
            hours[some] = self._under_way(lag, lines[some], stay[some], target[some], hours[some])
        return np.asarray(np.maximum(hours, picked_h))

    def _under_way(
        self,
        lag: Lag,
        batch: Indices,
        stay: Indices,
        target: Floats,
        guess_h: Floats,
    ) -> Floats:
        """Hours at which the clocks of stays and their lags together read ``target``, (n,).

        Newton's steps while they stay between bounds that close in, halves of these else: a process
        may stand still for a while.
        """
        start, clock = self.stays.start_h[batch, stay], self.clock[batch, stay]
        low, high = start.copy(), start + lag.over_h[batch, stay]
        here = np.clip(guess_h, low, high)
        found = here.copy()
        some = np.arange(batch.size)
        for _ in range(_MOST_STEPS):
            since = here - start[some]
            theta, pace = self.shelf.theta_and_pace(clock[some], here)
            own = batch[some], stay[some]
            so_far, lag_pace = lag.so_far_and_pace(*own, since)
            short = target[some] - theta - so_far
            pace = pace + lag_pace
            low[some] = np.where(short > 0.0, here, low[some])
            high[some] = np.where(short > 0.0, high[some], here)
            with np.errstate(divide="ignore", invalid="ignore"):
                there = here + short / pace
            inside = (there >= low[some]) & (there <= high[some])
            there = np.where(inside, there, (low[some] + high[some]) / 2.0)
            found[some] = there
            unsettled = np.abs(there - here) > _ROOT_H
            some, here = some[unsettled], there[unsettled]
            if not some.size:
                break
        return found

"""How far a clock has advanced for every batch along its journey, and when it gets anywhere."""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import ClockShelf, Indices, KnotShelf
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats


class Arrivals:
    """Where on its room's knots each stay begins and ends: looked up once for every kind of clock.

    ``room`` numbers the room of each stay, shape (batches, most stays).
    """

    def __init__(self, stays: Stays, knots: KnotShelf, room: Indices) -> None:
        self.stays = stays
        self.knots = knots
        self.room = room
        self.begin = knots.position(room, stays.start_h)
        self.end = knots.position(room[:, :-1], stays.start_h[:, 1:])


@dataclass(frozen=True, slots=True)
class Progress:
    """Advance of one kind of clock for all batches, counted from the start of the first stay.

    ``clock`` says which clock of the shelf runs in each stay, shape (batches, most stays). Made by
    :meth:`along`; ``before`` is the advance as each stay begins and ``offset`` what to add to its
    clock's reading.
    """

    stays: Stays
    shelf: ClockShelf
    clock: Indices
    before: Floats
    offset: Floats

    @classmethod
    def along(cls, arrivals: Arrivals, theta: Floats, extra: Floats | None = None) -> "Progress":
        """Progress along the stays of ``arrivals``, by clocks of advance ``theta`` on its knots.

        ``extra`` is what each stay adds beyond its clock by its end.
        """
        shelf = ClockShelf(arrivals.knots, theta)
        stays = arrivals.stays
        theta_at_start = shelf.read(arrivals.begin)
        before = np.zeros(stays.start_h.shape)
        if stays.start_h.shape[1] > 1:
            advance = shelf.read(arrivals.end) - theta_at_start[:, :-1]
            if extra is not None:
                advance += extra[:, :-1]
            np.cumsum(advance, axis=1, out=before[:, 1:])
        return cls(stays, shelf, arrivals.room, before, before - theta_at_start)

    def of(self, lines: Indices | slice) -> "Progress":
        """The progress of some batches only, which may repeat."""
        return Progress(
            self.stays.of(lines),
            self.shelf,
            self.clock[lines],
            self.before[lines],
            self.offset[lines],
        )

    def at(self, hours: Floats) -> Floats:
        """Advance of each batch at its hours; both shape (batches, n). 0 before the pick."""
        hours = np.maximum(hours, self.stays.start_h[:, :1])
        stay = self.stays.at(hours)
        theta = self.shelf.theta_at(Stays.entry(self.clock, stay), hours)
        return np.asarray(theta + Stays.entry(self.offset, stay))

    def at_common(self, hours: Floats) -> Floats:
        """Advance of every batch at the same ``hours``, shape (n,); answer (batches, n).

        Each clock is read once per hour and gathered, so the cost per batch and hour is a copy.
        Before the pick the answer means nothing.
        """
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
        stay, target = self.locate(advance)
        return self.shelf.hours_at(Stays.entry(self.clock, stay), target)

    def locate(self, advance: Floats) -> tuple[Indices, Floats]:
        """The stay in which each advance is reached, and how far that stay's clock must read."""
        wanted = np.maximum(advance, 0.0)
        stay = Stays.last_begun(self.before, wanted)
        return stay, np.asarray(wanted - Stays.entry(self.offset, stay))

"""How far a clock has advanced for every batch along its journey, and when it gets anywhere."""

import numpy as np

from ripenroom.science.clock import ClockShelf, Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats


class Progress:
    """Advance of one kind of clock for all batches, counted from the start of the first stay.

    ``clock`` says which clock of the shelf runs in each stay; ``extra`` is what each stay adds
    beyond its clock by its end. Both have shape (batches, most stays).
    """

    def __init__(
        self, stays: Stays, shelf: ClockShelf, clock: Indices, extra: Floats | None = None
    ) -> None:
        self.stays = stays
        self.shelf = shelf
        self.clock = clock
        theta_at_start = shelf.theta_at(clock, stays.start_h)
        self._before = np.zeros(stays.start_h.shape)
        if stays.start_h.shape[1] > 1:
            theta_at_end = shelf.theta_at(clock[:, :-1], stays.start_h[:, 1:])
            advance = theta_at_end - theta_at_start[:, :-1]
            if extra is not None:
                advance += extra[:, :-1]
            np.cumsum(advance, axis=1, out=self._before[:, 1:])
        self._offset = self._before - theta_at_start

    def at(self, hours: Floats) -> Floats:
        """Advance of each batch at its hours; both shape (batches, n). 0 before the pick."""
        hours = np.maximum(hours, self.stays.start_h[:, :1])
        stay = self.stays.at(hours)
        theta = self.shelf.theta_at(Stays.entry(self.clock, stay), hours)
        return np.asarray(theta + Stays.entry(self._offset, stay))

    def at_common(self, hours: Floats) -> Floats:
        """Advance of every batch at the same ``hours``, shape (n,); answer (batches, n).

        Each clock is read once per hour and gathered, so the cost per batch and hour is a copy.
        Before the pick the answer means nothing.
        """
        read = self.shelf.table(hours)
        last = self.stays.start_h.shape[1] - 1
        advance = read[self.clock[:, last]]
        advance += self._offset[:, last, None]
        if hours.size:
            # Only batches that move after the first of these hours need an earlier stay.
            moving = np.flatnonzero(self.stays.start_h[:, last] > hours[0])
            for stay in range(last - 1, -1, -1):
                earlier = read[self.clock[moving, stay]] + self._offset[moving, stay, None]
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
        stay = Stays.last_begun(self._before, wanted)
        return stay, np.asarray(wanted - Stays.entry(self._offset, stay))

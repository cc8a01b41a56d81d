"""A gate's need, met by its clock and by treatments together: a share of each is a share of it.

Of a winter pear that has had half of its cold, half a treatment with ethylene does the rest. So
with ``c(t)`` the share of the need that cold has met by an hour and ``g(t)`` the hours of treatment
given by then, of the ``G`` that do by themselves, a part of the gate whose need is ``q`` times the
usual one opens when ``c(t) + g(t) / G`` reaches ``q``. (That cold and ethylene make up for each
other: Sugar & Einhorn 2011, Postharvest Biol. Technol. 59:240-246; that they do so in proportion is
an assumption.)
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from ripenroom.science.clock import Indices
from ripenroom.science.limits import UsedUp
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80

_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Doses:
    """Treatments of every batch, from ``start_h`` to ``end_h``, both (batches, most treatments).

    They follow each other, and those that a batch has not got begin at inf.
    """

    start_h: Floats
    end_h: Floats

    @classmethod
    def none(cls, batches: int) -> "Doses":
        """No batch was treated."""
        return cls(np.empty((batches, 0)), np.empty((batches, 0)))

    def of(self, lines: Indices | slice) -> "Doses":
        """The treatments of some batches only, which may repeat."""
        return Doses(self.start_h[lines], self.end_h[lines])

    @property
    def treated(self) -> Indices:
        """Numbers of the batches that were treated, or will be."""
        return np.flatnonzero(np.isfinite(self.start_h).any(axis=1))

    def given_h(self, hours: Floats) -> Floats:
        """Hours of treatment that each batch has had by its hours; shapes (batches, n)."""
        start_h, end_h = (ends[:, None, :] for ends in (self.start_h, self.end_h))
        reached = np.minimum(hours[:, :, None], end_h) - start_h
        # What has not begun, or never does, gives nothing.
        return np.asarray(np.where(reached > 0.0, reached, 0.0).sum(axis=2))


@dataclass(frozen=True)
class GateNeed:
    """The need of every batch's gate: an allowance that its clock uses up, and treatments.

    ``enough_h`` (batches, 3) are the hours of treatment that open it without anything else, by the
    low end of their 80 % range, the middle and the high end; inf where no treatment does.
    """

    by_clock: UsedUp
    doses: Doses
    enough_h: Floats

    def of(self, lines: Indices | slice) -> "GateNeed":
        """That of some batches only."""
        return GateNeed(self.by_clock.of(lines), self.doses.of(lines), self.enough_h[lines])

    def treated_share(self, hours: Floats, end: int) -> Floats:
        """Share of the need that treatments have met by each batch's hours, (batches, n), by one
        of the three ``enough_h``."""
        return np.asarray(self.doses.given_h(hours) / self.enough_h[:, end : end + 1])

    def shares_at(self, hours: Floats) -> tuple[Floats, Floats, Floats]:
        """Shares of the low end, the middle and the high end that are met by each batch's hour, all
        of shape (batches,)."""
        low, mid, high = (
            met + self.treated_share(hours[:, None], end)[:, 0]
            for end, met in enumerate(self.by_clock.shares_at(hours))
        )
        return low, mid, high

    def likely_met(self, by_h: Floats) -> Floats:
        """How likely it is that each batch's need is met by its hour, of shape (batches,).

        Of the low end of the need most is met, of the high end least; the log of the need is taken
        for a bell curve.
        """
        of_low, met, of_high = (
            np.log(np.maximum(share, _NOTHING)) for share in self.shares_at(by_h)
        )
        log_sd = np.maximum((of_low - of_high) / (2.0 * TAIL_80), _NOTHING)
        return np.asarray(ndtr(met / log_sd))

    def when(self, times: Floats) -> tuple[Floats, Floats, Floats]:
        """Hours at which so many ``times`` (batches, n) the need is met, by its low end, its middle
        and its high end, each of shape (batches, n); inf where it never is."""
        found = self.by_clock.when(times)
        treated = self.doses.treated
        if treated.size:
            some = self.of(treated)
            for end, hours in enumerate(found):
                hours[treated] = some._when_treated(times[treated], hours[treated], end)
        low, mid, high = found
        return low, mid, high

    def _when_treated(self, times: Floats, by_clock_h: Floats, end: int) -> Floats:
        """:meth:`when` of treated batches, by one end; ``by_clock_h`` is when without treatments.

        The need is met where the first of several ways leads to it: within a treatment, taken as a
        straight line, or by the clock alone with all that was treated before.
        """
        clock = self.by_clock.clocks[end]
        whole = self.by_clock.shares[:, end : end + 1]
        first_h = by_clock_h
        for n in range(self.doses.start_h.shape[1]):
            ends_h = [ends[:, n : n + 1] for ends in (self.doses.start_h, self.doses.end_h)]
            has_it = np.isfinite(ends_h[0])
            start_h, end_h = (np.where(has_it, hours, 0.0) for hours in ends_h)
            at_start, at_end = (
                clock.at(hours) / whole + self.treated_share(hours, end)
                for hours in (start_h, end_h)
            )
            within = np.clip((times - at_start) / np.maximum(at_end - at_start, 1e-12), 0.0, 1.0)
            in_it_h = start_h + within * (end_h - start_h)
            in_it_h = np.where(has_it & (times <= at_end), in_it_h, np.inf)
            rest = times - self.treated_share(end_h, end)
            after_h = np.maximum(clock.when(whole * rest), end_h)
            after_h = np.where(has_it, after_h, np.inf)
            first_h = np.minimum(first_h, np.minimum(in_it_h, after_h))
        return np.asarray(first_h)

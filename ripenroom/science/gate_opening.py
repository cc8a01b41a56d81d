"""When each batch's gate opens, what never ripens for want of it, and how far on it is.

How a gate opens is told in :mod:`.gated_ageing`; here that is put between clocks and dates of
batches. Its need is met by its clock and by treatments together: a share of each is a share of it.

Of a winter pear that has had half of its cold, half a treatment with ethylene does the rest. So
with ``c(t)`` the share of the need that cold has met by an hour and ``g(t)`` the hours of treatment
given by then, of the ``G`` that do by themselves, a part of the gate whose need is ``q`` times the
usual one opens when ``c(t) + g(t) / G`` reaches ``q``. (That cold and ethylene make up for each
other: Sugar & Einhorn 2011, Postharvest Biol. Technol. 59:240-246; that they do so in proportion is
an assumption.)
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ripenroom.science.allowances import UsedUp
from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.compiled import ndtr
from ripenroom.science.gated_ageing import AnyAgeing, GatedAgeing
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.softening import Flags, Floats, FloatsLike
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


_LOOK_AHEAD_H = 24.0 * 365.0

RIPENS_SHUT: Final = 0.25
"""Fruit that goes at this share of its full speed or faster behind a shut gate ripens all the same,
only later (an estimate: four times as late it is mostly past before it is good)."""

_LEAST_NEED, _MOST_NEED = 0.05, 2.0
"""No pick is followed to needing next to nothing, or more than twice what is usual: published picks
lie within four weeks or so (Sugar & Einhorn 2011)."""


def need_at_age(age: FloatsLike, usual_age: float, per_age: float) -> Floats:
    """How many times its kind's usual need fruit has of these mean ages at pick, any shape.

    The need of a pick that is riper by one age is ``per_age`` times as much, and that of one of
    ``usual_age`` the usual one. The mean age is taken as it is believed; the doubt about it is left
    to the range of the need, which sources give over all maturities.
    """
    times = per_age ** (np.asarray(age) - usual_age)
    return np.clip(times, _LEAST_NEED, _MOST_NEED)


@dataclass(frozen=True, slots=True)
class Gates:
    """The gate of each batch: whether it has one (``shut``) and its share of speed ``meanwhile``,
    both (batches,), and how many times the need each ``part`` opens at, (batches, parts)."""

    shut: Flags
    meanwhile: Floats
    part: Floats


def gated(
    ageing: ClockAdvance, need: GateNeed, batches: BatchAges, gates: Gates
) -> tuple[GatedAgeing, BatchAges]:
    """Ageing behind each batch's gate, and the batches less what may never ripen for want of it.

    Of a gate that opens by and by, the middle counts for that: when half of full speed is free.
    ``need`` is each batch's own, met where it is used up. A batch that gets barely enough may in
    part not ripen at all, unless its fruit ripens behind a shut gate too. Of a batch that was
    checked after its gate had opened, what is left of the doubt about when is part of that about
    its age.
    """
    behind = np.flatnonzero(gates.shut)
    need = need.of(behind)
    meanwhile, parts, picked_h = gates.meanwhile, gates.part, batches.picked_h

    def opening(met_h: Floats) -> Floats:
        opens_h = np.repeat(picked_h[:, None], parts.shape[1], axis=1)
        opens_h[behind] = np.maximum(met_h, opens_h[behind])
        return opens_h

    low_h, opens_h, high_h = (opening(met_h) for met_h in need.when(parts[behind]))
    half = parts.shape[1] // 2
    barely = np.isfinite(opens_h[:, half]) & ~np.isfinite(high_h[:, half])
    barely &= meanwhile < RIPENS_SHUT
    enough, some = np.ones(barely.size), np.flatnonzero(barely[behind])
    enough[behind[some]] = need.of(some).likely_met(picked_h[behind[some]] + _LOOK_AHEAD_H)
    # An opening that may never come is counted among what won't ripen, not as a late one.
    high_h = np.where(barely[:, None], opens_h, high_h)
    if batches.checked is not None:
        seen = batches.checked.known_h[:, None] >= high_h
        low_h, high_h = np.where(seen, opens_h, low_h), np.where(seen, opens_h, high_h)
        # A part that was seen open may have done so later than the low end of the next.
        low_h = np.maximum.accumulate(low_h, axis=1)
    behind_gate = GatedAgeing(ageing, opens_h, meanwhile, low_h, high_h)
    return behind_gate, replace(batches, ripens=batches.ripens * enough)


def waits_for_ever(ageing: AnyAgeing) -> Flags:
    """Which batches stand behind a gate of which so little ever opens that they go too slowly to
    be good before they shrivel: no date is told of them, (batches,)."""
    if isinstance(ageing, ClockAdvance):
        return np.zeros(ageing.stays.start_h.shape[0], dtype=bool)
    opens = np.isfinite(ageing.opens_h).mean(axis=1)
    return np.asarray(ageing.meanwhile + (1.0 - ageing.meanwhile) * opens < RIPENS_SHUT)


def gate_columns(
    ageing: AnyAgeing, need: GateNeed | None, by_h: float
) -> tuple[Floats, Floats, Floats]:
    """When each batch's gate opens (h, inf: never), how much of its need is met by an hour, and how
    many times its crop's usual need that is, each (batches,).

    nan, all, where a batch has no gate.
    """
    batches = ageing.stays.start_h.shape[0]
    if isinstance(ageing, ClockAdvance) or need is None:
        none = np.full(batches, np.nan)
        return none, none, none
    has_gate = ageing.meanwhile < 1.0
    met = np.minimum(need.shares_at(np.full(batches, by_h))[1], 1.0)
    opens_h = ageing.half_open_h
    met = np.where(opens_h <= by_h, 1.0, met)
    opens_h, met, times = (
        np.where(has_gate, column, np.nan) for column in (opens_h, met, need.by_clock.shares[:, 1])
    )
    return opens_h, met, times


def doubt_of_opening(ageing: AnyAgeing, rate_per_day: Floats, known_h: Floats) -> Floats:
    """What not knowing when a gate opened adds to the doubt about age (sd), where fruit was looked
    at ``known_h`` (h), since; (batches,), 0 where there is no gate or it was shut then.

    A gate that opened earlier makes fruit older by the same from then on, as an older pick does.
    """
    doubt = np.zeros(known_h.size)
    if not isinstance(ageing, GatedAgeing):
        return doubt
    own = ageing.behind
    gated, at_h = ageing.of(own), known_h[own, None]
    opened = at_h >= gated.opens_high_h
    early, late = (
        gated.opening_at(np.where(opened, end_h, gated.opens_h)).at(at_h)[:, 0]
        for end_h in (gated.opens_low_h, gated.opens_high_h)
    )
    doubt[own] = rate_per_day[own] * np.abs(early - late) / (2.0 * TAIL_80)
    return doubt

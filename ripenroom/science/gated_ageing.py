"""What has to happen before fruit ripens at full speed, as a clock of its own.

A winter pear needs weeks of cold, a kiwifruit a trigger: until its *gate* is open, fruit ages at
only a share of its speed. The gate has its own clock: how much of the need is met, by temperature.
It may open at once, when all of the need is met, or by and by: then full speed is freed in equal
parts, one after the other, each when so many times the need is met (:func:`part_needs`).

With ``D`` the reference days since pick, ``m`` the share meanwhile and ``o_1 <= ... <= o_n`` when
each of n parts opens, the days that count are

    m D(t) + (1 - m) / n * sum over k of max(D(t) - D(o_k), 0)

which runs the faster the more parts are open, and never back: it is the largest of the straight
lines that its pieces lie on, so every date is still one look-up, of the least of their inverses.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final, TypeAlias

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.science.spread import even_z

_FAR_H = 24.0 * 365.0
"""A gate that never opens is looked at a year after the pick: far past any date that matters."""

PARTS: Final = 11
"""Parts in which a gate opens by and by; odd, so that the middle one opens when the need is met."""


def part_needs(width: FloatsLike) -> Floats:
    """How many times its need each part of a gate opens at, (..., parts), in increasing order.

    ``width`` (...) is the sd of the log of that number over all parts: the share of full speed that
    is free where ``s`` times the need is met is the Normal probability of ``ln(s) / width``. Where
    no gate has a width, one part opens when the need is met.
    """
    wide = np.asarray(width, float)
    if not wide.any():
        return np.ones((*wide.shape, 1))
    quantiles = even_z(PARTS)
    quantiles[PARTS // 2] = 0.0
    return np.asarray(np.exp(wide[..., None] * quantiles))


def days_that_count(days: Floats, openings: Sequence[Floats], meanwhile: Floats) -> Floats:
    """Of ``days`` at full speed those that count, if parts open after so many ``openings`` of them.

    ``meanwhile`` is the share of full speed before the first. All shapes broadcast.
    """
    freed = sum(np.maximum(days - opening, 0.0) for opening in openings)
    return np.asarray(meanwhile * days + (1.0 - meanwhile) / len(openings) * freed)


def days_at_full_speed(count: Floats, openings: Sequence[Floats], meanwhile: Floats) -> Floats:
    """The inverse of :func:`days_that_count`; inf for what is never reached.

    ``openings`` go up; they are inf where a part never opens.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        days = np.where(count > 0.0, count / meanwhile, 0.0)
        begun, so_far, share = np.zeros(()), np.zeros(()), meanwhile
        for part, opening in enumerate(openings, start=1):
            so_far = so_far + share * (opening - begun)
            begun = opening
            share = meanwhile + (1.0 - meanwhile) * (part / len(openings))
            # Of a part that never opens there is no line: its nan counts for nothing.
            days = np.fmin(days, opening + (count - so_far) / share)
    return np.asarray(days)


@dataclass(frozen=True)
class GatedAgeing:
    """Softening (a :class:`ClockAdvance`) behind a gate; the same questions, counted so.

    ``opens_h`` (batches, parts) is when each part of a batch's gate opens, in increasing order: the
    pick or earlier where it has none, inf where it never will; ``opens_low_h`` to ``opens_high_h``
    are the 80 % ranges. ``meanwhile`` (batches,) is the share of the full speed before the first.
    """

    ageing: ClockAdvance
    opens_h: Floats
    meanwhile: Floats
    opens_low_h: Floats
    opens_high_h: Floats

    def of(self, lines: Indices | slice) -> "GatedAgeing":
        """The ageing of some batches only, which may repeat."""
        some = GatedAgeing(
            self.ageing.of(lines),
            self.opens_h[lines],
            self.meanwhile[lines],
            self.opens_low_h[lines],
            self.opens_high_h[lines],
        )
        # Looked up once for all blocks of batches.
        some.__dict__["_days_at_opening"] = self._days_at_opening[lines]
        return some

    def at_either_end(self) -> "tuple[GatedAgeing, GatedAgeing]":
        """The same with every gate opening at the low and at the high end of its range."""
        return self.opening_at(self.opens_low_h), self.opening_at(self.opens_high_h)

    def opening_at(self, opens_h: Floats) -> "GatedAgeing":
        """The same with the gates opening at other hours."""
        return replace(self, opens_h=opens_h)

    @cached_property
    def behind(self) -> Indices:
        """Numbers of the batches that have a gate."""
        return np.flatnonzero(self.meanwhile < 1.0)

    @property
    def half_open_h(self) -> Floats:
        """When the need is met and half of the gate is open, (batches,)."""
        return np.asarray(self.opens_h[:, self.opens_h.shape[1] // 2])

    @property
    def wholly_open_h(self) -> Floats:
        """When the last part opens, (batches,)."""
        return np.asarray(self.opens_h[:, -1])

    @property
    def stays(self) -> Stays:
        """The stays along which the fruit ages."""
        return self.ageing.stays

    def at(self, hours: Floats) -> Floats:
        """Reference days that count, of each batch at its hours; shapes (batches, n)."""
        return self.counted(self.ageing.at(hours))

    def at_single(self, lines: Indices, hours: Floats) -> Floats:
        """:meth:`at` of single batches ``lines``, which may repeat; both of shape (n,)."""
        return self.counted_of(lines, self.ageing.at_single(lines, hours)[:, None])[:, 0]

    def at_common(self, hours: Floats) -> Floats:
        """Reference days that count, of every batch at the same hours (n,)."""
        return self.counted(self.ageing.at_common(hours))

    def when(self, days: Floats) -> Floats:
        """Hours at which each batch's counting days are reached; shapes (batches, n)."""
        own = self.behind
        at_opening, comes = self._days_at_opening[own], np.isfinite(self.opens_h[own])
        opens = np.where(comes, at_opening, np.inf)
        full = days_at_full_speed(days[own], _columns(opens), self.meanwhile[own, None])
        # How it goes on with a gate that never opens is not followed for ever.
        never = (full > at_opening[:, -1:]) & ~comes[:, -1:]
        all_days = np.array(days, float)
        all_days[own] = np.where(never, np.inf, full)
        return self.ageing.when(all_days)

    def counted(self, days: Floats) -> Floats:
        """Of each batch's reference days (batches, n) since the pick those that count, in place."""
        return self.counted_of(np.arange(self.meanwhile.size), days)

    def counted_of(self, lines: Indices, days: Floats) -> Floats:
        """:meth:`counted` of ``lines``, which may repeat, in place; ``days`` (lines, n) is
        theirs."""
        mine = np.flatnonzero(self.meanwhile[lines] < 1.0)
        own = lines[mine]
        openings = _columns(self._days_at_opening[own])
        days[mine] = days_that_count(days[mine], openings, self.meanwhile[own, None])
        return days

    def in_days_that_count(self, progress: ClockAdvance, hours: Floats) -> Floats:
        """What another process has gained in the days that count; shapes (batches, n)."""
        return self._gained_in_them(progress, hours, progress.at(hours))

    def in_days_that_count_at_common(self, progress: ClockAdvance, hours: Floats) -> Floats:
        """:meth:`in_days_that_count` at the same hours (n,) for all batches."""
        return self._gained_in_them(progress, hours, progress.at_common(hours))

    def _gained_in_them(self, progress: ClockAdvance, hours: Floats, gained: Floats) -> Floats:
        """Of what ``progress`` has ``gained`` by ``hours`` that of the days that count, in place.

        It may run back, so it does not tell by itself whether a part has opened.
        """
        own = self.behind
        all_gained, openings_h = gained[own], self._opening_h()[own]
        at_openings = progress.of(own).at(openings_h)
        own_hours = np.broadcast_to(hours, gained.shape)[own]
        freed = sum(
            np.where(own_hours > opening_h, all_gained - at_opening, 0.0)
            for opening_h, at_opening in zip(
                _columns(openings_h), _columns(at_openings), strict=True
            )
        )
        meanwhile = self.meanwhile[own, None]
        gained[own] = meanwhile * all_gained + (1.0 - meanwhile) / openings_h.shape[1] * freed
        return gained

    @cached_property
    def _days_at_opening(self) -> Floats:
        """Reference days at full speed by each opening; of batches without a gate none."""
        days = np.zeros(self.opens_h.shape)
        days[self.behind] = self.ageing.of(self.behind).at(self._opening_h()[self.behind])
        return days

    def _opening_h(self) -> Floats:
        picked_h = self.stays.start_h[:, :1]
        return np.minimum(self.opens_h, picked_h + _FAR_H)


def _columns(table: Floats) -> list[Floats]:
    """The columns of a table, each still one."""
    return [table[:, part : part + 1] for part in range(table.shape[1])]


AnyAgeing: TypeAlias = ClockAdvance | GatedAgeing


def in_days_that_count(ageing: AnyAgeing, progress: ClockAdvance, hours: Floats) -> Floats:
    """What another process has gained by hours (batches, n) in the days that count for ageing."""
    if isinstance(ageing, GatedAgeing):
        return ageing.in_days_that_count(progress, hours)
    return progress.at(hours)


def in_days_that_count_at_common(
    ageing: AnyAgeing, progress: ClockAdvance, hours: Floats
) -> Floats:
    """:func:`in_days_that_count` at the same hours (n,) for all batches."""
    if isinstance(ageing, GatedAgeing):
        return ageing.in_days_that_count_at_common(progress, hours)
    return progress.at_common(hours)


def ungated(ageing: AnyAgeing) -> ClockAdvance:
    """Ageing as if every gate were open."""
    return ageing.ageing if isinstance(ageing, GatedAgeing) else ageing

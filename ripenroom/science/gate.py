"""What has to happen before fruit ripens at full speed, as a clock of its own.

A winter pear needs weeks of cold, a kiwifruit a trigger: until its *gate* is open, fruit ages at
only a share of its speed. The gate has its own clock (how far along the need is met, by
temperature), so it opens at an hour ``opens_h``; from then on ageing counts in full. With ``D`` the
reference days since pick and ``m`` the share meanwhile, the days that count are

    D(t) - (1 - m) min(D(t), D(opens))

which is again a clock that never runs back, so every date is still one look-up.
"""

from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.progress import Progress
from ripenroom.science.softening import Floats

_FAR_H = 24.0 * 365.0
"""A gate that never opens is looked at a year after the pick: far past any date that matters."""


@dataclass(frozen=True, slots=True)
class GatedAgeing:
    """Softening (a :class:`Progress`) behind a gate; the same questions, counted so.

    ``opens_h`` (batches,) is when each batch's gate opens: the pick or earlier where it has none,
    inf where it never will; ``opens_low_h`` to ``opens_high_h`` is its 80 % range. ``meanwhile``
    (batches,) is the share of the full speed until then.
    """

    ageing: Progress
    opens_h: Floats
    meanwhile: Floats
    opens_low_h: Floats
    opens_high_h: Floats

    def of(self, lines: Indices | slice) -> "GatedAgeing":
        """The ageing of some batches only, which may repeat."""
        return GatedAgeing(
            self.ageing.of(lines),
            self.opens_h[lines],
            self.meanwhile[lines],
            self.opens_low_h[lines],
            self.opens_high_h[lines],
        )

    def at_either_end(self) -> "tuple[GatedAgeing, GatedAgeing]":
        """The same with every gate opening at the low and at the high end of its range."""
        return self.opening_at(self.opens_low_h), self.opening_at(self.opens_high_h)

    def opening_at(self, opens_h: Floats) -> "GatedAgeing":
        """The same with the gates opening at other hours."""
        return replace(self, opens_h=opens_h)

    @property
    def stays(self) -> Stays:
        """The stays along which the fruit ages."""
        return self.ageing.stays

    def at(self, hours: Floats) -> Floats:
        """Reference days that count, of each batch at its hours; shapes (batches, n)."""
        return self._counted(self.ageing.at(hours))

    def at_single(self, lines: Indices, hours: Floats) -> Floats:
        """:meth:`at` of single batches ``lines``, which may repeat; both of shape (n,)."""
        days = self.ageing.at_single(lines, hours)
        shut = np.minimum(days, self.ageing.at_single(lines, self._opening_h()[lines, 0]))
        return np.asarray(days - (1.0 - self.meanwhile[lines]) * shut)

    def at_common(self, hours: Floats) -> Floats:
        """Reference days that count, of every batch at the same hours (n,)."""
        return self._counted(self.ageing.at_common(hours))

    def when(self, days: Floats) -> Floats:
        """Hours at which each batch's counting days are reached; shapes (batches, n)."""
        meanwhile = self.meanwhile[:, None]
        at_opening = self._days_at_opening()
        by_opening = meanwhile * at_opening
        with np.errstate(divide="ignore", invalid="ignore"):
            early = np.where(days > 0.0, days / meanwhile, 0.0)
        late = days + (1.0 - meanwhile) * at_opening
        hours = self.ageing.when(np.where(days <= by_opening, early, late))
        never = (days > by_opening) & ~np.isfinite(self.opens_h)[:, None]
        return np.where(never, np.inf, hours)

    def held_back(self) -> Floats:
        """Reference days that do not count because of the gate, once it is open, (batches,)."""
        return np.asarray((1.0 - self.meanwhile) * self._days_at_opening()[:, 0])

    def in_days_that_count(self, progress: Progress, hours: Floats) -> Floats:
        """What another process has gained in the days that count; shapes (batches, n)."""
        return progress.at(hours) - self.shut_part(progress, hours)

    def shut_part(self, progress: Progress, hours: Floats) -> Floats:
        """What of another process's gain does not count because the gate was shut.

        ``hours`` have shape (batches, n), or (n,) for all batches.
        """
        shut = progress.at(np.minimum(hours, self._opening_h()))
        return np.asarray((1.0 - self.meanwhile[:, None]) * shut)

    def _counted(self, days: Floats) -> Floats:
        shut = np.minimum(days, self._days_at_opening())
        return np.asarray(days - (1.0 - self.meanwhile[:, None]) * shut)

    def _days_at_opening(self) -> Floats:
        return self.ageing.at(self._opening_h())

    def _opening_h(self) -> Floats:
        picked_h = self.stays.start_h[:, :1]
        return np.minimum(self.opens_h[:, None], picked_h + _FAR_H)


AnyAgeing: TypeAlias = Progress | GatedAgeing


def in_days_that_count(ageing: AnyAgeing, progress: Progress, hours: Floats) -> Floats:
    """What another process has gained by hours (batches, n) in the days that count for ageing."""
    if isinstance(ageing, GatedAgeing):
        return ageing.in_days_that_count(progress, hours)
    return progress.at(hours)


def in_days_that_count_at_common(ageing: AnyAgeing, progress: Progress, hours: Floats) -> Floats:
    """:func:`in_days_that_count` at the same hours (n,) for all batches."""
    gained = progress.at_common(hours)
    if isinstance(ageing, GatedAgeing):
        gained -= ageing.shut_part(progress, hours)
    return gained


def ungated(ageing: AnyAgeing) -> Progress:
    """Ageing as if every gate were open."""
    return ageing.ageing if isinstance(ageing, GatedAgeing) else ageing

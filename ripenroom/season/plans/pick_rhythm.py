"""How often a crop is picked: the farm's own rhythm, and when picks are due by it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from statistics import median

LAST_GAPS = 5
"""So many of the last gaps between days of picking tell how often a farm picks."""

MOST_GAP = 10.0
"""Fruit is not picked more seldom than this (days): what is due comes by then."""

ONLY_GAP = 3.0
"""Days from the only day of picking to the next: trees are picked over every two or three days
(common practice, no source)."""

LOOK_BACK_DAYS, LOOK_BACK_GAPS = 7.0, 3.0
"""Picks of so many days, and of so many gaps, up to the last tell how much is picked these days."""


@dataclass(frozen=True, slots=True)
class Rhythm:
    """How a crop is picked: every ``gap`` days, last on ``last``. ``looked_back`` is the first day
    that tells of these days. Of so many of the last ``gaps`` it is the middle one; of an only day
    of picking, which has none, the usual one."""

    gap: float
    last: date
    looked_back: date
    gaps: int

    @property
    def only(self) -> bool:
        """Whether there was but one day of picking."""
        return not self.gaps

    def overdue(self, today: date) -> float:
        """For how many days a pick has been due that was not made, by tomorrow."""
        return max((today - self.last).days + 1.0 - self.gap, 0.0)


def rhythm_of(on: Sequence[date]) -> Rhythm:
    """The rhythm of some days of picking; raises ``ValueError`` if there are none."""
    every = sorted(set(on))
    if not every:
        raise ValueError("no day of picking")
    last = every[-1]
    gaps = [(after - before).days for before, after in pairwise(every)][-LAST_GAPS:]
    gap = min(float(median(gaps)), MOST_GAP) if gaps else ONLY_GAP
    back = max(LOOK_BACK_DAYS, LOOK_BACK_GAPS * gap)
    looked_back = next(day for day in every if (last - day).days < back)
    return Rhythm(gap, last, looked_back, len(gaps))

"""The clock by which fruit ripens on the tree, and what it feels like by then.

The clock counts *tree days*: calendar days where no temperature is known, else degree days divided
by those of a usual day of the picking season, so that a warm day counts for more than one. A fruit
first gives when its own number of tree days since bloom is over; fruit of a row differ in that
number as a Normal. From then on it softens on the tree at its cultivar's pace, until it drops.
"""

from dataclasses import dataclass, fields

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.compiled import ndtr
from ripenroom.science.softening import Floats, FloatsLike

FEELS = 5
"""Hard, slight give, gives, soft, too soft: hardest first."""


@dataclass(frozen=True, slots=True)
class TreeClock:
    """Tree days at the end of each day, from ``first_day`` on, never falling.

    Days are numbers on any one calendar (``date.toordinal()``). Before and after the days that it
    covers, the clock goes on by a tree day a day.
    """

    first_day: int
    at_end: Floats

    @classmethod
    def of_heat(cls, first_day: int, degree_days: FloatsLike, usual_per_day: float) -> "TreeClock":
        """From the degree days of each day, none of them nan, and those of a usual day."""
        return cls(first_day, np.cumsum(np.asarray(degree_days, float)) / usual_per_day)

    @classmethod
    def of_calendar(cls, first_day: int, days: int) -> "TreeClock":
        """A tree day a day."""
        return cls(first_day, np.arange(1.0, days + 1.0))

    def at(self, day: FloatsLike) -> Floats:
        """Tree days at the middle of these days, counted from the start of ``first_day``."""
        since = np.asarray(day, float) - self.first_day + 0.5
        knots, ends = self._knots()
        over = np.maximum(since - knots[-1], 0.0) + np.minimum(since, 0.0)
        return np.asarray(np.interp(since, knots, ends) + over)

    def day(self, tree_days: FloatsLike) -> Floats:
        """The day, with its fraction, at which so many tree days are over: inverse of :meth:`at`,
        the first such day where the clock stands still."""
        count = np.asarray(tree_days, float)
        knots, ends = self._knots()
        over = np.maximum(count - ends[-1], 0.0) + np.minimum(count, 0.0)
        moving = np.concatenate([[True], np.diff(ends) > 0.0])
        return np.asarray(np.interp(count, ends[moving], knots[moving]) + over + self._offset)

    @property
    def _offset(self) -> float:
        return self.first_day - 0.5

    def _knots(self) -> tuple[Floats, Floats]:
        ends = np.concatenate([[0.0], self.at_end])
        return np.arange(ends.size, dtype=float), ends


@dataclass(frozen=True, slots=True)
class TreeMarks:
    """How fruit of each row goes on, in tree days after it first gives, at its cultivar's usual
    pace.

    ``starts`` (rows, 4): when each feel after hard begins, the first of them at 0. ``drop`` (rows,)
    is when half of the fruit has dropped, ``drop_sd`` (rows,) how much fruit differ in that;
    ``feel_sd`` (rows,) how far off a hand is about one fruit, in the same days.
    """

    starts: Floats
    drop: Floats
    drop_sd: Floats
    feel_sd: Floats

    def of(self, rows: Indices) -> "TreeMarks":
        """Of some rows only, which may repeat."""
        return TreeMarks(*(getattr(self, f.name)[rows] for f in fields(TreeMarks)))


def shares_by_feel(since_give: FloatsLike, starts: Floats, feel_sd: Floats) -> Floats:
    """Chance that a fruit feels so, ``since_give`` tree days after it first gave, (..., feels).

    ``starts`` (..., 4) and ``feel_sd`` (...) as in :class:`TreeMarks`, in its own pace.
    """
    since = np.asarray(since_give, float)[..., None]
    past = ndtr((since - starts) / feel_sd[..., None])
    ones = np.ones_like(past[..., :1])
    return np.asarray(-np.diff(np.concatenate([ones, past, 0.0 * ones], axis=-1), axis=-1))

"""How the fruit of a cultivar comes due, as far as the picks so far tell: a bell of days.

Fruit of a tree ripens over some two weeks, the most of it in the middle. So the first pick is a
small part of all, the next ones bring more, and the last ones ever less. What is unknown is how
wide the bell is, which part of it the first pick had, and how many fruit there are in all; the
first two are laid out in a grid of shapes, for each of which the third is worked out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from ripenroom.science.compiled import ndtr
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80

FIRST_SDS: Final = -TAIL_80
FIRST_SDS_SD: Final = 0.6
"""On the first pick one fruit in ten is due, as first picks of a cultivar are told by spring; 2 to
30 % of it in four cases of five, as growers begin sooner or later (an estimate)."""

FIRST_PICK_SD: Final = 0.7
"""How far the first pick is off what is due by then, as the sd of the log: some of it has dropped,
and not every tree is looked at yet (an estimate)."""

_WIDTHS: Final = np.linspace(-2.0, 5.0, 15)
"""Widths that are looked at, as logs, in sds of what they usually are: far to the wide side, where
trees that bear for long lie."""

_FIRSTS: Final = np.linspace(-3.0, 3.0, 25)
_LEAST_SHARE: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Course:
    """Shapes that a harvest can have, each with its ``weight``: the day of its ``middle``, its
    ``sd`` (days) and the log of all its fruit, ``log_all``. Days count from the first pick on;
    ``last`` is that of the last one."""

    weight: Floats
    middle: Floats
    sd: Floats
    log_all: Floats
    last: float

    @property
    def usual_log_all(self) -> float:
        """The log of all fruit, as is usual of the shapes."""
        return float(self.weight @ self.log_all)

    @property
    def middle_day(self) -> tuple[float, float]:
        """The day of the middle, in days after the last pick; and its sd."""
        mean = float(self.weight @ self.middle)
        sd = float(np.sqrt(self.weight @ np.square(self.middle - mean)))
        return mean - self.last, sd

    def comes(self, since: float, until: float) -> tuple[float, float]:
        """How many fruit come due between two times, in days after the last pick; and the sd.

        Of a harvest that has just begun some shapes promise a hundred times what was picked: so it
        is what the middle of the logs of all says, not the mean that these few would make.
        """
        by_until, log_sd = self._by(until)
        mid = by_until - self._by(since)[0]
        return mid, mid * log_sd

    def _by(self, until: float) -> tuple[float, float]:
        """Fruit that come due within so many days after the last pick, and the sd of its log."""
        upto = ndtr((self.last + until - self.middle) / self.sd)
        part = upto - ndtr((self.last - self.middle) / self.sd)
        log = np.log1p(np.exp(self.log_all) * part)
        mean = float(self.weight @ log)
        return float(np.expm1(mean)), float(np.sqrt(self.weight @ np.square(log - mean)))


def course_of(
    days: Sequence[float],
    fruit: Sequence[float],
    spread_days: float,
    spread_log_sd: float,
    pick_sd: float,
    usual: tuple[float, float] | None = None,
) -> Course:
    """The course of a harvest of which so much ``fruit`` was picked on some ``days``, counted from
    the first of them.

    Each pick takes what came due since the one before, to within ``pick_sd`` (of its log). Fruit
    differ by ``spread_days``, known to ``spread_log_sd``. ``usual`` is the log of all fruit of such
    a harvest and its sd, where anything tells.
    """
    width, first = (
        column.ravel() for column in np.meshgrid(_WIDTHS, FIRST_SDS + FIRST_SDS_SD * _FIRSTS)
    )
    sd = spread_days * np.exp(spread_log_sd * width)
    middle = -first * sd
    due = ndtr((np.asarray(days, dtype=float) - middle[:, None]) / sd[:, None])
    part = np.maximum(np.diff(due, axis=1, prepend=0.0), _LEAST_SHARE)
    counts = np.asarray(fruit, dtype=float)
    says = np.log(counts) - np.log(part)
    pick_sds = np.where(np.arange(counts.size) > 0, pick_sd, FIRST_PICK_SD)
    sure = np.broadcast_to(1.0 / (pick_sds**2 + 1.0 / counts), says.shape)
    if usual is not None:
        says = np.column_stack([says, np.full(sd.size, usual[0])])
        sure = np.column_stack([sure, np.full(sd.size, usual[1] ** -2)])
    log_all = (says * sure).sum(axis=1) / sure.sum(axis=1)
    off = np.square(says - log_all[:, None]) * sure
    first_z = (first - FIRST_SDS) / FIRST_SDS_SD
    log = -0.5 * (off.sum(axis=1) + np.square(width) + np.square(first_z))
    weight = np.exp(log - log.max())
    return Course(weight / weight.sum(), middle, sd, log_all, float(days[-1]))

"""How the fruit of a cultivar comes due of which nothing was picked yet.

When it begins is a guess, and that it has not begun so far is the first that is known of it: the
middles for which it would have are ruled out, and with each of them it gets less likely that it
bears at all. What is left is laid out in shapes that are alike likely.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from ripenroom.science.compiled import ndtr
from ripenroom.science.orchard.harvest_course import FIRST_SDS, FIRST_SDS_SD
from ripenroom.science.softening import Floats
from ripenroom.science.spread import even_z

_MIDDLES: Final = 32
_WIDTHS: Final = 9
_FIRSTS: Final = 9
"""So many levels of each are looked at."""


@dataclass(frozen=True, slots=True)
class Coming:
    """Shapes, alike likely, that a harvest still has before it: the day of its ``first`` pick, of
    its ``middle``, and its ``sd`` (days). ``bears`` is how likely there is any, ``log_all`` the log
    of its fruit, known to ``log_all_sd``. Days count from any moment."""

    first: Floats
    middle: Floats
    sd: Floats
    bears: float
    log_all: float
    log_all_sd: float

    def comes(self, since: float, until: float) -> tuple[float, float]:
        """How many fruit come to be picked between two times, as a mean over what can be; and the
        sd, in which is that nobody knows whether it will have begun by then."""
        part = self._picked_by(until) - self._picked_by(since)
        fruit = float(np.exp(self.log_all))
        mid = fruit * self.bears * float(part.mean())
        square = fruit**2 * self.bears * float(np.square(part).mean()) * (1.0 + self.log_all_sd**2)
        return mid, float(np.sqrt(max(square - mid**2, 0.0)))

    def _picked_by(self, at: float) -> Floats:
        """Which part of its fruit has come due by a time, of what has begun by then."""
        due = ndtr((at - self.middle) / self.sd)
        return np.asarray(np.where(self.first <= at, due, 0.0))


def coming_of(
    middle: tuple[float, float],
    spread: tuple[float, float],
    log_all: tuple[float, float],
    bears: float,
    not_before: float,
) -> Coming | None:
    """A harvest that had not begun at ``not_before``, though it may have, ``bears`` being how
    likely it was to come at all; None if it would have begun by now in any shape.

    ``middle`` is the guess of its day and its sd, ``spread`` how much its fruit differ (days) and
    how far that is known (of its log), ``log_all`` the log of all its fruit and its sd.
    """
    at, width, first = (
        column.ravel() for column in np.meshgrid(even_z(_MIDDLES), even_z(_WIDTHS), even_z(_FIRSTS))
    )
    middles = middle[0] + middle[1] * at
    sd = spread[0] * np.exp(spread[1] * width)
    firsts = middles + (FIRST_SDS + FIRST_SDS_SD * first) * sd
    left = firsts > not_before
    part = float(left.mean())
    if not part:
        return None
    return Coming(
        firsts[left],
        middles[left],
        sd[left],
        bears * part / (bears * part + 1.0 - bears),
        *log_all,
    )

"""What the best plan comes to if crates may be cut: quick, and smooth enough to compare."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import relaxed
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.softening import Floats
from ripenroom.season.plan_ground import Ground, ground
from ripenroom.season.projector import Projector

if TYPE_CHECKING:
    from ripenroom.season.learning.learned import Learned

SECONDS = 10.0
"""How long one programme may take; then all is left as it is."""

Progress = Callable[[float], None]
"""Told the share of the work that is done."""


@dataclass(frozen=True, slots=True)
class Worth:
    """Expected ``value_minor`` and fruit ``sold`` of the best plan, by ``crates`` on each way."""

    value_minor: float
    sold: float
    crates: Floats


def worth(problem: Problem) -> Worth:
    """What the best plan of a problem comes to."""
    if not (problem.ways.size and problem.crates.any()):
        return Worth(0.0, 0.0, 0.0 * problem.fruit)
    crates = relaxed(problem, SECONDS).crates
    sold = float(problem.wants.sold(problem.saleable(crates)).sum())
    return Worth(problem.value(crates), sold, crates)


@dataclass(frozen=True, slots=True)
class Asking:
    """A season as on a moment, of which one asks what would be if its records were others."""

    crops: Mapping[str, CropProfile]
    now: datetime
    zone: ZoneInfo
    learned: "Learned | None" = None

    def ground(self, book: Book) -> Ground:
        """All that can be decided, were these the records."""
        return ground(book, self.crops, self.now, self.zone, self.learned)

    def projector(self) -> Projector:
        """What projects the season."""
        return Projector(self.crops, self.zone, self.learned)

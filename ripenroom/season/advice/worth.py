"""What the best plan comes to if crates may be cut: quick, and smooth enough to compare."""

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.evaluate import of_objective
from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import relaxed
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.softening import Floats
from ripenroom.season.plans.ground import Ground
from ripenroom.season.plans.pins import ground
from ripenroom.season.projector import Projector

if TYPE_CHECKING:
    from ripenroom.season.learning.learned import Learned

Progress = Callable[[float], None]
"""Told the share of the work that is done."""


@dataclass(frozen=True, slots=True)
class Worth:
    """Expected ``value_minor`` of the best plan, by ``crates`` on each way: what plans are compared
    by, too hopeful to be told as money but for :func:`told`.

    Fruit ``sold`` is all that someone takes, ``sold_ready`` that of market days.
    """

    value_minor: float
    sold: float
    sold_ready: float
    crates: Floats


def worth(problem: Problem) -> Worth:
    """What the best plan of a problem comes to."""
    if not (problem.ways.size and problem.crates.any()):
        return Worth(0.0, 0.0, 0.0, np.zeros(problem.ways.size))
    crates = relaxed(problem).crates
    sold = problem.wants.sold(problem.saleable(crates))
    ready = float(sold[~problem.wants.second].sum())
    return Worth(problem.value(crates), float(sold.sum()), ready, crates)


def told(laid: Ground, crates: Floats) -> float:
    """What part of the expected worth of plans like this one comes true over sampled truths."""
    return of_objective(laid.problem, crates, laid.prospects, laid.lines.crop)


@dataclass(frozen=True, slots=True)
class Asking:
    """A season as on a moment, of which one asks what would be if its records were others."""

    crops: Mapping[str, CropProfile]
    now: datetime
    zone: ZoneInfo
    learned: "Learned | None" = None

    def ground(self, book: Book, cancel: threading.Event | None = None) -> Ground:
        """All that can be decided, were these the records; by what things bring, uncautious."""
        return ground(book, self.crops, self.now, self.zone, self.learned, cancel).as_paid

    def projector(self) -> Projector:
        """What projects the season."""
        return Projector(self.crops, self.zone, self.learned)

"""What the best plan comes to if crates may be cut: quick, and smooth enough to compare."""

import threading
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ripenroom.planning.evaluate import of_objective
from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import relaxed
from ripenroom.science.softening import Floats
from ripenroom.season.plans.ground import Ground
from ripenroom.season.plans.pins import ground
from ripenroom.season.state import SeasonState

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


def paid_ground(state: SeasonState, cancel: threading.Event | None = None) -> Ground:
    """All that can be decided, by what things bring, uncautious."""
    return ground(state, cancel).as_paid

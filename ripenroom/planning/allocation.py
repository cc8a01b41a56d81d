"""The plan itself: the best cut crates, made whole, and bettered while there is time."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import (
    Relaxed,
    crate_worth,
    programme,
    relaxed,
    small_gains,
)
from ripenroom.planning.rounding import rounded
from ripenroom.science.clock import Indices

GOOD_ENOUGH = 5e-4
"""A plan this near to its bound, as a share of it, is not worked on any more."""

_NODES = 2_000
"""Branches looked at in search of a better whole plan. Counted in branches and not in seconds, so
that a slow day makes no other plan."""

_NEAR = 0.02
"""Itineraries that are short of being used by less than this part of a crate's worth may still be
in the best whole plan."""


@dataclass(frozen=True, slots=True)
class Allocation:
    """Whole ``crates`` on each itinerary; what they are expected to be worth, what no plan can be
    worth more than, and how far apart these are as a share of the bound."""

    crates: Indices
    value: float
    bound: float

    @property
    def gap(self) -> float:
        """How far the value is under the bound, as a share of it."""
        return (self.bound - self.value) / self.bound if self.bound > 0.0 else 0.0


def allocate(
    problem: Problem, seconds: float = 5.0, cancel: threading.Event | None = None
) -> Allocation:
    """The best plan found in about so many seconds, or until ``cancel`` is set.

    What was found by then is returned. Equal problems give equal plans, unless time runs out.
    """
    if not (problem.ways.size and problem.crates.any()):
        return Allocation(np.zeros(problem.ways.size, dtype=np.intp), 0.0, 0.0)
    end = time.monotonic() + seconds

    def stop() -> bool:
        return (cancel is not None and cancel.is_set()) or time.monotonic() >= end

    unit, gains = crate_worth(problem), small_gains(problem)
    cut = relaxed(problem, seconds)
    crates = rounded(problem, cut.crates, gains, unit, stop)
    found = Allocation(crates, problem.value(crates), cut.bound)
    if found.gap > GOOD_ENOUGH and not stop():
        better = _bettered(problem, cut, found.crates, unit, end, stop)
        if better is not None:
            worth = problem.value(better) + float(gains @ better)
            if worth > found.value + float(gains @ found.crates):
                found = Allocation(better, problem.value(better), cut.bound)
    return found


def _bettered(
    problem: Problem,
    cut: Relaxed,
    crates: Indices,
    unit: float,
    end: float,
    stop: Callable[[], bool],
) -> Indices | None:
    """The best whole plan among itineraries that are used, or nearly; None if none was found."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    gains = small_gains(problem)
    model = programme(problem, gains)
    used = (cut.crates > 0.0) | (crates > 0) | (cut.short < _NEAR * unit)
    highest = model.highest.copy()
    highest[: used.size][~used] = 0.0
    whole = np.zeros(highest.size, dtype=np.intp)
    whole[: used.size] = 1
    left = end - time.monotonic()
    answer = milp(
        -model.gain / unit,
        integrality=whole,
        bounds=Bounds(np.zeros(highest.size), highest),
        constraints=[
            LinearConstraint(model.most, -np.inf, model.limit),
            LinearConstraint(model.even, 0.0, 0.0),
        ],
        options={"time_limit": left, "node_limit": _NODES, "mip_rel_gap": GOOD_ENOUGH / 5.0},
    )
    # An answer cut off by the clock would be another one tomorrow.
    if answer.x is None or stop():
        return None
    better = np.round(answer.x[: used.size]).astype(np.intp)
    return better if _feasible(problem, better) else None


def _feasible(problem: Problem, crates: Indices) -> bool:
    taken = np.bincount(problem.ways.batch, crates, minlength=problem.crates.size)
    in_room = problem.load(crates) <= problem.room + 1e-6
    return bool((taken <= problem.crates).all() and in_room.all() and (crates >= 0).all())

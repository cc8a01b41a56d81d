"""What a grower without a plan would do: simple rules, each told its best evening for a move.

They choose among the same itineraries, are held to the same room and to what is decided already,
and are valued alike.
"""

import numpy as np

from ripenroom.planning.problem import NO_WANT, Problem
from ripenroom.planning.rounding import DraftPlan
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

_READY_ENOUGH = 0.5
"""No rule brings fruit with less than this part of the largest saleable share it can have."""


def in_order(problem: Problem, rank: Floats, only: np.ndarray | None = None) -> Indices:
    """Crates on each itinerary if every market day, in turn, is filled with what comes first.

    ``rank`` orders the batches, lowest first; among equals the readiest comes first. ``only``
    says which itineraries may be used.
    """
    ways, fruit = problem.ways, problem.fruit
    best = np.zeros(problem.crates.size)
    np.maximum.at(best, ways.batch, ways.share)
    usable = ways.free & (ways.want != NO_WANT) & (ways.share >= _READY_ENOUGH * best[ways.batch])
    if only is not None:
        usable &= only
    stowage = DraftPlan(problem, np.zeros(ways.size))
    some = np.flatnonzero(usable)
    order = some[np.lexsort((-ways.share[some], rank[ways.batch[some]], ways.want[some]))]
    unplaced, saleable, wanted = stowage.unplaced, stowage.saleable, problem.wants.fruit.tolist()
    columns = order, ways.batch[order], ways.want[order], fruit[order]
    for way, batch, want, each in zip(*(column.tolist() for column in columns), strict=True):
        # No crate goes of which less than half is wanted.
        more = wanted[want] - saleable[want] + each / 2.0
        if unplaced[batch] and more >= each > 0.0:
            stowage.put_all(way, int(more / each))
    for way in np.flatnonzero(ways.left).tolist():
        # All else stays where it is: what keeps counts for a rule as it does for a plan.
        stowage.put_all(way, int(problem.crates[ways.batch[way]]))
    return stowage.crates


def first_in_first_out(problem: Problem, picked_h: Floats) -> Indices:
    """The fruit picked first goes first; ``picked_h`` of each batch."""
    return in_order(problem, picked_h)


def first_expired_first_out(problem: Problem, closes_h: Floats) -> Indices:
    """The fruit that is past first goes first; ``closes_h`` of each batch, inf if never."""
    return in_order(problem, closes_h)


def readiest(problem: Problem) -> Indices:
    """Each market takes what is readiest by then, moved or not: a plan that is made in no time."""
    return in_order(problem, np.zeros(problem.crates.size))


def as_it_is(problem: Problem) -> Indices:
    """Nothing is moved but what is written down already; each market takes what is readiest."""
    return in_order(problem, np.zeros(problem.crates.size), problem.ways.moves == 0)

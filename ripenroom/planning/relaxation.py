"""The best plan if crates could be cut, which bounds the worth of any whole plan.

The programme is :mod:`ripenroom.planning.programme`. Where its answer is too full, it is solved
again with what it left too full shut, or eased; the bound is that of the first.
"""

from dataclasses import dataclass, replace

import numpy as np

from ripenroom.planning.columns import MOST_STEPS, Answer, Stop, answer_of
from ripenroom.planning.problem import Problem
from ripenroom.planning.programme import LinearProgramme, programme, shut
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

HANDLING = 0.03
"""What moving a crate once costs, in parts of what a usual crate is worth: a few minutes' work at
a stall-holder's wage (an estimate)."""

PRICING_STEPS = 20_000
"""Simplex steps that tell which itineraries pay."""

MOVE_COST = 1e-4
KEPT_GAIN = 2e-4
LEFT_GAIN = 5e-5
EARLY_GAIN = 1e-6
"""What breaks ties, in parts of a crate's worth: a move costs, what is planned already and what
can be left where it is gains, and so does each evening by which a place is free earlier. All are
far below what a plan can be off by, and far above the solver's tolerance."""


def crate_worth(problem: Problem) -> float:
    """What a crate is worth in the middle: the unit of small gains and costs."""
    worth = worth_alone(problem)
    return float(np.median(worth[worth > 0.0])) if (worth > 0.0).any() else 1.0


def worth_alone(problem: Problem) -> Floats:
    """What the fruit of one crate on each itinerary is worth at the full price."""
    price = np.append(problem.wants.price, 0.0)
    return np.asarray(problem.fruit * price[problem.ways.want])


def with_handling(problem: Problem, unit: float) -> Problem:
    """The problem with what moves cost, where ``unit`` is what a usual crate is worth: it tells
    which of them are worth the walk."""
    cost = np.asarray(HANDLING * unit * problem.ways.moves, dtype=float)
    return replace(problem, ways=replace(problem.ways, handling=cost))


def move_cost(problem: Problem) -> float:
    """What it costs to move a crate once, in the prices' unit."""
    moved = np.flatnonzero(problem.ways.moves > 0)[:1]
    if not moved.size:
        return HANDLING * crate_worth(problem)
    return float((problem.ways.handling[moved] / problem.ways.moves[moved])[0])


def small_gains(problem: Problem) -> Floats:
    """What breaks ties between itineraries, by crate, in the prices' unit."""
    ways = problem.ways
    left = ways.left
    evenings = problem.room.shape[1]
    last = ways.stay_until.max(axis=1, initial=0).astype(np.intp)
    gains = (
        KEPT_GAIN * ways.kept
        + LEFT_GAIN * left
        + EARLY_GAIN * np.where(left, 0, evenings - last)
        - MOVE_COST * ways.moves
    )
    return np.asarray(gains * crate_worth(problem))


@dataclass(frozen=True, slots=True)
class Solution:
    """The ``best`` that cut crates can do, which may be too full somewhere, and the ``answer`` with
    its prices of the ``model`` in which this is mended: there nothing new comes where ``closed``.
    Answers are in units of ``scale``."""

    best: Answer
    answer: Answer
    model: LinearProgramme
    closed: np.ndarray
    scale: float


def solution(
    problem: Problem,
    gains: Floats,
    steps: int = MOST_STEPS,
    stop: Stop | None = None,
    first: Indices | None = None,
) -> Solution | None:
    """The best plan with cut crates that is found in so many ``steps``, beginning with itineraries
    that come ``first``; None without any."""
    scale = crate_worth(problem)
    model = programme(problem, gains)
    best = answer_of(problem, model, scale, steps, stop, first)
    if best is None:
        return None
    crates = best.unknowns[: problem.ways.size]
    closed = shut(problem, crates)
    if not problem.overfull(crates).any():
        return Solution(best, best, model, closed, scale)
    model = programme(problem, gains, closed)
    answer = answer_of(problem, model, scale, steps, stop, best.taken_up)
    return None if answer is None else Solution(best, answer, model, closed, scale)


@dataclass(frozen=True, slots=True)
class Relaxed:
    """``crates`` on each itinerary if they may be cut, the ``bound`` on the worth of any plan, and
    by how much each itinerary falls ``short`` of being used (in the prices' unit, by crate). Not
    ``solved`` if the count ran out before anything was found. ``reach`` is what the best comes to
    among the itineraries that there are, too full or not. ``taken_up`` are those that were looked
    at: to begin with next time."""

    crates: Floats
    bound: float
    reach: float
    short: Floats
    solved: bool
    taken_up: Indices


def relaxed(
    problem: Problem,
    steps: int = MOST_STEPS,
    stop: Stop | None = None,
    first: Indices | None = None,
) -> Relaxed:
    """The best plan with cut crates; ``bound`` is above the worth of any whole one, also of one
    that uses what was left out for its number.

    Without an answer in so many ``steps`` all that is not decided is left where it is, and the
    bound is that all that is wanted is sold.
    """
    gains = small_gains(problem)
    found = solution(problem, gains, steps, stop, first)
    ways = problem.ways
    everything = float(problem.wants.value(np.full(problem.wants.fruit.size, np.inf)).sum())
    later = np.zeros(problem.crates.size)
    np.maximum.at(later, ways.batch, problem.later)
    everything += float(later @ problem.crates)
    if found is None:
        left = problem.as_they_stand.astype(float)
        return Relaxed(
            left, everything, everything, np.zeros(ways.size), False, np.empty(0, dtype=np.intp)
        )
    # The small gains are no worth: whatever they may have cost the best plan is allowed for.
    least_gain = np.zeros(problem.crates.size)
    np.minimum.at(least_gain, ways.batch, gains)
    bound = found.best.bound * found.scale - float(least_gain @ problem.crates)
    short = np.maximum(-found.answer.reduced[: ways.size], 0.0) * found.scale
    crates = found.answer.unknowns[: ways.size]
    return Relaxed(
        crates,
        min(bound, everything),
        found.best.reach * found.scale,
        short,
        True,
        found.best.taken_up,
    )


def short_by(problem: Problem, stop: Stop | None = None) -> Floats:
    """By how much a crate on each itinerary falls short of being used (in the prices' unit), if
    crates may be cut and as many ``PRICING_STEPS`` tell."""
    scale = crate_worth(problem)
    model = programme(problem, small_gains(problem))
    answer = answer_of(problem, model, scale, PRICING_STEPS, stop)
    if answer is None:
        return np.zeros(problem.ways.size)
    return np.maximum(-answer.reduced[: problem.ways.size], 0.0) * scale

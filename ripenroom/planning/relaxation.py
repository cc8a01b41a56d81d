"""The best plan if crates could be cut: it bounds any whole plan, and prices a little more of all.

The programme is :mod:`ripenroom.planning.programme`. Where its answer is too full, it is solved
again with what it left too full shut, or eased; the bound is that of the first.

Its duals are the worth of a little more of each limit (:class:`ShadowPrices`). They are exact while
all else stays; how much more, and how far it goes, only making the plan again can tell.
"""

from dataclasses import dataclass, replace

import numpy as np

from ripenroom.planning.column_generation import MOST_STEPS, Answer, Stop, answer_of
from ripenroom.planning.problem import Problem
from ripenroom.planning.programme import LinearProgramme, intruding, programme, shut
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

HANDLING = 0.03
"""What moving a crate once costs, in parts of what a usual crate is worth: a few minutes' work at
a stall-holder's wage (an estimate), where nobody says what it does."""

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
    once = HANDLING * unit if problem.crate_move is None else problem.crate_move
    cost = np.asarray(once * problem.ways.moves, dtype=float)
    return replace(problem, ways=replace(problem.ways, handling=cost))


def move_cost(problem: Problem) -> float:
    """What it costs to move a crate once, in the prices' unit."""
    moved = np.flatnonzero(problem.ways.moves > 0)[:1]
    if not moved.size:
        once = problem.crate_move
        return HANDLING * crate_worth(problem) if once is None else once
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


_NOTHING = 1e-3
"""Duals below this part of a crate's worth come from what breaks ties."""


@dataclass(frozen=True, slots=True)
class ShadowPrices:
    """The best plan with cut ``crates``, and the worth of a little more, in the prices' unit.

    ``room`` is that of a crate more in each place on each evening, (places, evenings); ``wanted``
    that of a fruit more wanted; ``fruit`` that of a saleable fruit more brought for each want.
    Itineraries that are ``shut`` come to places which are too full for anything new: room there is
    worth what a crate more on the best of them would bring.
    """

    crates: Floats
    room: Floats
    wanted: Floats
    fruit: Floats
    shut: np.ndarray

    def charge(self, problem: Problem) -> Floats:
        """What the room that a crate takes up on each itinerary would be worth to others; more than
        any crate is worth where there is none."""
        ways = problem.ways
        places, evenings = self.room.shape
        until = np.concatenate([np.zeros((places, 1)), np.cumsum(self.room, axis=1)], axis=1)
        first, last = (np.minimum(e, evenings) for e in (ways.stay_from, ways.stay_until))
        place = ways.stay_place
        charge = (until[place, np.maximum(last, first)] - until[place, first]).sum(axis=1)
        dearest = problem.wants.price.max(initial=0.0) * problem.fruit_per_crate[ways.batch]
        return np.asarray(np.where(self.shut, dearest, charge))


def shadows(problem: Problem, steps: int = MOST_STEPS) -> ShadowPrices:
    """Duals of a problem; all zero, and all left as it stands, without an answer in ``steps``."""
    ways, n_wants = problem.ways.size, problem.wants.fruit.size
    room = np.zeros(problem.room.shape)
    none = np.zeros(n_wants)
    stands = problem.as_they_stand.astype(float)
    nothing = ShadowPrices(stands, room, none, none, np.zeros(problem.ways.size, bool))
    if not (ways and problem.crates.any()):
        return nothing
    found = solution(problem, small_gains(problem), steps)
    if found is None:
        return nothing
    answer, scale = found.answer, found.scale
    upper = np.maximum(answer.reduced, 0.0) * scale
    full, more = ways, ways + n_wants
    stored = ways + 2 * n_wants
    tight = problem.tight
    limited = room[tight]
    room[tight] = upper[stored : stored + limited.size].reshape(limited.shape)
    barred = intruding(problem, found.closed)
    _of_what_is_shut(room, problem, found.closed, np.where(barred, upper[:ways], 0.0))
    room[room < _NOTHING * scale] = 0.0
    wants = problem.wants
    more_each = np.divide(wants.more, wants.fruit, out=np.zeros(n_wants), where=wants.fruit > 0.0)
    wanted = upper[full:more] + more_each * upper[more:stored]
    of_wants = slice(problem.crates.size, problem.crates.size + n_wants)
    fruit = answer.prices[of_wants] * scale
    return ShadowPrices(answer.unknowns[:ways], room, wanted, fruit, barred)


def _of_what_is_shut(room: Floats, problem: Problem, closed: np.ndarray, gain: Floats) -> None:
    """Put into ``room`` what the best of the itineraries that are barred would gain, where they
    would come to a place that is closed."""
    ways, evenings = problem.ways, np.arange(closed.shape[1])
    for stay in range(ways.stay_place.shape[1]):
        some = np.flatnonzero((gain > 0.0) & ways.stay_new[:, stay])
        place = ways.stay_place[some, stay]
        there = (ways.stay_from[some, stay][:, None] <= evenings) & closed[place]
        there &= evenings < ways.stay_until[some, stay][:, None]
        first = np.argmax(there, axis=1)
        inside = there.any(axis=1)
        np.maximum.at(room, (place[inside], first[inside]), gain[some][inside])

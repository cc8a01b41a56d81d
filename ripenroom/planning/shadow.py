"""What a little more of each limit would be worth: duals of the linear programme.

They are exact for a little more of one thing while all else stays; how much more, and how far it
goes, only making the plan again can tell.
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.planning.columns import MOST_STEPS
from ripenroom.planning.problem import Problem
from ripenroom.planning.programme import intruding
from ripenroom.planning.relaxation import small_gains, solution
from ripenroom.science.softening import Floats

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

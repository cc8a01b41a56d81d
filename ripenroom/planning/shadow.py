"""What a little more of each limit would be worth: duals of the linear programme.

They are exact for a little more of one thing while all else stays; how much more, and how far it
goes, only making the plan again can tell.
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import crate_worth, programme, small_gains, solved
from ripenroom.science.softening import Floats

_NOTHING = 1e-3
"""Duals below this part of a crate's worth come from what breaks ties."""


@dataclass(frozen=True, slots=True)
class Shadows:
    """The best plan with cut ``crates``, and the worth of a little more, in the prices' unit.

    ``room`` is that of a crate more in each place on each evening, (places, evenings); ``wanted``
    that of a fruit more wanted; ``fruit`` that of a saleable fruit more brought for each want.
    """

    crates: Floats
    room: Floats
    wanted: Floats
    fruit: Floats

    def charge(self, problem: Problem) -> Floats:
        """What the room that a crate takes up on each itinerary would be worth to others."""
        ways = problem.ways
        places, evenings = self.room.shape
        until = np.concatenate([np.zeros((places, 1)), np.cumsum(self.room, axis=1)], axis=1)
        first, last = (np.minimum(e, evenings) for e in (ways.stay_from, ways.stay_until))
        place = ways.stay_place
        return np.asarray((until[place, np.maximum(last, first)] - until[place, first]).sum(axis=1))


def shadows(problem: Problem, seconds: float) -> Shadows:
    """Duals of a problem; all zero, and all left as it stands, without an answer in ``seconds``."""
    ways, n_wants = problem.ways.size, problem.wants.fruit.size
    room = np.zeros(problem.room.shape)
    none = np.zeros(n_wants)
    stands = problem.as_they_stand.astype(float)
    if not (ways and problem.crates.any()):
        return Shadows(stands, room, none, none)
    model = programme(problem, small_gains(problem))
    scale = crate_worth(problem)
    answer = solved(model, scale, seconds)
    if answer is None:
        return Shadows(stands, room, none, none)
    upper = -np.asarray(answer.upper.marginals) * scale
    full, more = ways, ways + n_wants
    stored = ways + 2 * n_wants
    room[problem.tight] = upper[stored:].reshape(room[problem.tight].shape)
    room[room < _NOTHING * scale] = 0.0
    wants = problem.wants
    more_each = np.divide(wants.more, wants.fruit, out=np.zeros(n_wants), where=wants.fruit > 0.0)
    wanted = upper[full:more] + more_each * upper[more:stored]
    fruit = -np.asarray(answer.ineqlin.marginals[problem.crates.size :]) * scale
    return Shadows(np.asarray(answer.x[:ways]), room, wanted, fruit)

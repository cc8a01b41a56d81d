"""What is at hand goes before what is only likely: to near markets, and into rooms.

A plan that counts on likely picks in full sends them to a near market as soon as that gains a
little, and keeps for a far one what is there already. If they do not come, the near market goes
without. So the plan is gone through once more: fruit at hand that a nearer market with room for it
would pay as much for, after caution, goes there, and likely picks fill what it leaves. Nothing at
hand is kept from a room, nor given up, for what may never come.
"""

import numpy as np

from ripenroom.planning.column_generation import Stop
from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import crate_worth, small_gains
from ripenroom.planning.rounding import NOTHING, DraftPlan, better, free_by_batch
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats


def at_hand_first(problem: Problem, crates: Indices, likely: np.ndarray, stop: Stop) -> Indices:
    """Whole ``crates`` on each itinerary, as good as they were but for that; ``likely`` marks the
    batches that stand for picks which are no more than that.

    Ended by ``stop``, it gives what was there before.
    """
    ways = problem.ways
    of_likely = likely[ways.batch]
    if not of_likely.any():
        return crates
    unit = crate_worth(problem)
    draft = DraftPlan(problem, small_gains(problem))
    for way in np.flatnonzero(ways.free & (crates > 0) & ~of_likely).tolist():
        draft.put(way, int(crates[way]))
    own = free_by_batch(problem)
    start_h = np.append(problem.wants.start_h, np.inf)[ways.want]
    for batch in np.flatnonzero(~likely).tolist():
        if stop():
            return crates
        _sent_sooner(draft, own[batch], start_h[own[batch]], NOTHING * unit)
    for way in np.flatnonzero(ways.free & (crates > 0) & of_likely).tolist():
        draft.put_all(way, int(crates[way]))
    better(draft, unit, stop, likely)
    return crates if stop() else draft.crates


def _sent_sooner(draft: DraftPlan, own: Indices, start_h: Floats, nothing: float) -> None:
    """Send crates of a batch that go nowhere on the best of its ``own`` itineraries, and move
    others to markets that start sooner than theirs (h; inf: none), as long as that gains."""
    if not own.size:
        return
    batch = int(draft.problem.ways.batch[own[0]])
    while draft.unplaced[batch] and draft.place_one(own, draft.gain(own), nothing):
        pass
    used = np.flatnonzero(draft.crates[own] > 0)
    for number in used[np.argsort(-start_h[used], kind="stable")].tolist():
        way, sooner = int(own[number]), own[start_h < start_h[number]]
        while sooner.size and draft.crates[way] and draft.send_another_way(sooner, way, nothing):
            pass

"""The plan itself: the best cut crates, made whole, and bettered by counted work."""

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.planning.baselines import as_it_is, readiest
from ripenroom.planning.column_generation import MOST_STEPS
from ripenroom.planning.problem import Problem
from ripenroom.planning.programme import programme, shut
from ripenroom.planning.relaxation import Relaxed, crate_worth, relaxed, small_gains
from ripenroom.planning.rounding import DraftPlan, better, rounded
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

FAR = 0.01
"""A plan farther from its bound than this part of it is held to the simple rules too."""

GOOD_ENOUGH = 1e-3
"""A plan this near to its bound, as a share of it, is not worked on any more."""

NEAR = 5e-3
"""After a small change a plan this near to what can be reached, or about as near as the one before,
is not searched again: that would take ten times as long, and mostly turn crates over for less than
anyone could tell."""

WORTH_CHANGING = 5e-4
"""A plan that was made already is left for one that is worth more by over this part of the bound:
less is far below what a plan can be off by."""

_WHOLE_GAP = 1e-3
"""How near to the best whole plan among the nearest itineraries the search goes."""

_NEAREST = 300
"""So many itineraries nearest to being used are searched beside those that are, ..."""

_STEP = 1
"""... each within so many crates of the cut and of the rounded plan: ten times as many, and any
number of crates, take thirty times as long and gain less than 0.02 %."""

_MOST_SEARCHED = 2_000
"""Unknowns of a search at most: with 1,000 batches and 100 market days there are 3,000, and it took
longer than all else for 0.06 %. There whole crates fit well as they are."""

_NODES = 100
"""Branches that the search looks at. Counted in branches and not in seconds, so that a slow day
makes no other plan."""


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
        return max(self.bound - self.value, 0.0) / self.bound if self.bound > 0.0 else 0.0


def allocate(
    problem: Problem,
    steps: int = MOST_STEPS,
    cancel: threading.Event | None = None,
    before: Indices | None = None,
    rules: Sequence[Indices] = (),
    enough: float = GOOD_ENOUGH,
) -> Allocation:
    """The best plan found in so many simplex ``steps``, or until ``cancel`` is set.

    Equal problems give equal plans, however busy the machine is: work is counted, not timed. What
    was found by the end of the count is returned, and is never worth less than what simple
    ``rules`` make of the same fruit, nor than the readiest first or nothing moved. A plan made
    ``before``, crates on each itinerary, is kept to as far as it still can be, unless another is
    worth more by over ``WORTH_CHANGING``; where it is near ``enough`` to what can be reached, as a
    share of it, only the simple rules are looked at beside it. Nor is any other plan searched any
    further that is as near.
    """
    if not (problem.ways.size and problem.crates.any()):
        return Allocation(np.zeros(problem.ways.size, dtype=np.intp), 0.0, 0.0)

    def stop() -> bool:
        return cancel is not None and cancel.is_set()

    unit, gains = crate_worth(problem), small_gains(problem)

    def worth(crates: Indices) -> float:
        return problem.value(crates) + float(gains @ crates)

    simple = [readiest(problem), as_it_is(problem), *rules]
    kept = None if before is None else _kept(problem, before, gains, unit, stop)
    found = max(simple if kept is None else [*simple, kept], key=problem.value)
    cut = relaxed(problem, steps, stop, np.flatnonzero(found))
    near = kept is not None and cut.reach - problem.value(kept) <= enough * cut.reach
    if cut.solved and not near:
        found = max(found, rounded(problem, cut.crates, gains, unit, stop), key=worth)
        if cut.reach - problem.value(found) > enough * cut.reach and not stop():
            whole = _bettered(problem, cut, found, unit)
            if whole is not None and not stop():
                # The search stops a little short of the best, crate after crate goes on from there.
                found = max(found, _kept(problem, whole, gains, unit, stop), key=worth)
    if cut.reach - problem.value(found) > FAR * cut.reach:
        # Where rooms are too full the cut plan may be no guide; what a rule makes can be bettered.
        for start in simple:
            if stop():
                break
            found = max(found, _kept(problem, start, gains, unit, stop), key=worth)
    if kept is not None and worth(kept) >= worth(found) - WORTH_CHANGING * cut.bound:
        found = kept
    return Allocation(found, problem.value(found), cut.bound)


def enough_after(gap: float) -> float:
    """How near a plan is near enough after a small change, if the one before it had such a gap."""
    return max(NEAR, min(gap + 2.0 * WORTH_CHANGING, FAR))


def _kept(
    problem: Problem, before: Indices, gains: Floats, unit: float, stop: Callable[[], bool]
) -> Indices:
    """The plan made before, as far as it still can be, and what is new put in its best place."""
    stowage = DraftPlan(problem, gains)
    for way in np.flatnonzero(problem.ways.free & (before > 0)).tolist():
        stowage.put_all(way, int(before[way]))
    better(stowage, unit, stop)
    return stowage.crates


def nearby(problem: Problem, before: Indices | None = None) -> tuple[float, Indices]:
    """What the best plan that may cut crates is worth, as it is paid; and a whole plan, soon found:
    the one made ``before`` as far as it still can be, or one near the best.
    """
    unit, gains = crate_worth(problem), small_gains(problem)
    cut = relaxed(problem, first=None if before is None else np.flatnonzero(before))
    worth = problem.as_paid.value(cut.crates)

    def never() -> bool:
        return False

    if before is None:
        return worth, rounded(problem, cut.crates, gains, unit, never)
    return worth, _kept(problem, before, gains, unit, never)


def _bettered(
    problem: Problem,
    cut: Relaxed,
    crates: Indices,
    unit: float,
) -> Indices | None:
    """The best whole plan among itineraries that are used, or nearly; None if none was found, or
    there are too many."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    model = programme(problem, small_gains(problem), shut(problem, crates))
    kept = np.ones(model.highest.size, dtype=bool)
    kept[: crates.size] = (cut.crates > 0.0) | (crates > 0) | ~problem.ways.free
    kept[np.argsort(cut.short, kind="stable")[:_NEAREST]] = True
    if int(kept.sum()) > _MOST_SEARCHED:
        return None
    lowest, highest = model.lowest.copy(), model.highest.copy()
    near = slice(0, crates.size)
    fewest = np.minimum(np.floor(cut.crates), crates) - _STEP
    most = np.maximum(np.ceil(cut.crates), crates) + _STEP
    lowest[near] = np.maximum(lowest[near], fewest)
    highest[near] = np.minimum(highest[near], most)
    in_crates = np.zeros(kept.size, dtype=np.intp)
    in_crates[: crates.size] = 1
    answer = milp(
        -model.gain[kept] / unit,
        integrality=in_crates[kept],
        bounds=Bounds(lowest[kept], highest[kept]),
        constraints=[
            LinearConstraint(model.most[:, kept], -np.inf, model.limit),
            LinearConstraint(model.even[:, kept], 0.0, 0.0),
        ],
        options={"node_limit": _NODES, "mip_rel_gap": _WHOLE_GAP},
    )
    if answer.x is None:
        return None
    whole = np.zeros(kept.size)
    whole[kept] = answer.x
    found = np.round(whole[: crates.size]).astype(np.intp)
    return found if _feasible(problem, found) else None


def _feasible(problem: Problem, crates: Indices) -> bool:
    taken = np.bincount(problem.ways.batch, crates, minlength=problem.crates.size)
    as_decided = (crates == problem.ways.fixed) | problem.ways.free
    return bool(
        (taken <= problem.crates).all()
        and not problem.overfull(crates).any()
        and (crates >= 0).all()
        and as_decided.all()
    )

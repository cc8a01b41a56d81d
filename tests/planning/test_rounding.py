"""Whole crates from cut ones."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.relaxation import crate_worth, relaxed, small_gains
from ripenroom.planning.rounding import DraftPlan, rounded
from tests.draws import draws
from tests.planning import made


def never() -> bool:
    return False


@draws(60)
@given(st.integers(0, 10_000), st.booleans())
def test_a_rounded_plan_is_feasible_even_if_it_is_stopped(seed: int, stopped: bool) -> None:
    problem = made.problem(seed, batches=6)
    cut = relaxed(problem)
    gains, unit = small_gains(problem), crate_worth(problem)
    crates = rounded(problem, cut.crates, gains, unit, lambda: stopped)
    assert made.faults(problem, crates) == []
    assert made.worth(problem, crates) <= cut.bound + 1e-6 * unit


@draws(60)
@given(st.integers(0, 10_000))
def test_any_cut_crates_are_made_to_fit(seed: int) -> None:
    problem = made.problem(seed, capacity=1.0)
    cut = np.random.default_rng(seed).uniform(0.0, 1.0, problem.ways.size)
    shares = np.bincount(problem.ways.batch, cut, minlength=problem.crates.size)
    cut *= (problem.crates / np.maximum(shares, 1e-9))[problem.ways.batch]
    crates = rounded(problem, cut, small_gains(problem), crate_worth(problem), never)
    assert made.faults(problem, crates) == []


@draws(30)
@given(st.integers(0, 10_000))
def test_no_single_crate_could_go_a_better_way(seed: int) -> None:
    problem = made.problem(seed)
    gains, unit = small_gains(problem), crate_worth(problem)
    nothing = np.zeros(problem.ways.size)
    crates = rounded(problem, nothing, gains, unit, never)

    def worth(plan: np.ndarray) -> float:
        return made.worth(problem, plan) + float(gains @ plan)

    best = worth(crates)
    for way in range(problem.ways.size):
        for other in [None, *np.flatnonzero(crates)]:
            if other is not None and problem.ways.batch[other] != problem.ways.batch[way]:
                continue
            changed = crates.copy()
            changed[way] += 1
            if other is not None:
                changed[other] -= 1
            if not made.faults(problem, changed):
                assert worth(changed) <= best + 1e-6 * unit


def test_stowage_tells_what_one_more_crate_adds() -> None:
    problem = made.problem(21, most_crates=6)
    stowage = DraftPlan(problem, np.zeros(problem.ways.size))
    for way in range(0, problem.ways.size, 3):
        stowage.put(way)
    before = made.worth(problem, stowage.crates)
    gains = stowage.gain(np.arange(problem.ways.size))
    for way, gain in enumerate(gains):
        more = stowage.crates.copy()
        more[way] += 1
        assert made.worth(problem, more) - before == pytest.approx(gain)

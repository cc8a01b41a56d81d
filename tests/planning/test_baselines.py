"""The simple rules: their order, their limits, and that a plan beats them."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.allocation import allocate
from ripenroom.planning.baselines import (
    as_it_is,
    first_expired_first_out,
    first_in_first_out,
    readiest,
)
from ripenroom.planning.problem import NO_WANT, Problem
from tests.draws import draws
from tests.planning import made


def alike(batches: int, wanted: float) -> Problem:
    """Batches of two crates of ten fruit, all ready, and one market that wants some fruit."""
    problem = made.problem(1, batches=batches, wants=1, places=1, missing=0.0)
    ways = problem.ways
    stays = (ways.want == 0) & (ways.pull < 0)
    return replace(
        problem,
        crates=np.full(batches, 2),
        fruit_per_crate=np.full(batches, 10.0),
        wants=replace(problem.wants, fruit=np.array([wanted]), price=np.array([1.0])),
        ways=replace(ways, share=np.where(stays, 1.0, 0.0)),
    )


def crates_of(problem: Problem, crates: np.ndarray) -> list[int]:
    """Crates of each batch that are brought to a market."""
    sold = np.where(problem.ways.want == NO_WANT, 0, crates)
    return [int(sold[problem.ways.batch == b].sum()) for b in range(problem.crates.size)]


def test_what_was_picked_or_is_past_first_goes_first() -> None:
    problem = alike(3, wanted=30.0)
    first = first_in_first_out(problem, np.array([5.0, 3.0, 9.0]))
    assert crates_of(problem, first) == [1, 2, 0]
    expired = first_expired_first_out(problem, np.array([5.0, np.inf, 4.0]))
    assert crates_of(problem, expired) == [1, 0, 2]


def test_no_rule_brings_more_than_is_wanted_by_half_a_crate() -> None:
    for wanted, brought in ((14.0, 1), (15.0, 2), (4.0, 0), (1000.0, 6)):
        problem = alike(3, wanted)
        assert sum(crates_of(problem, as_it_is(problem))) == brought


@draws(60)
@given(st.integers(0, 10_000))
def test_rules_are_held_to_the_same_limits_and_never_beat_the_bound(seed: int) -> None:
    problem = made.decided(made.problem(seed, batches=8, wants=5), seed)
    age = np.random.default_rng(seed).uniform(0.0, 100.0, problem.crates.size)
    bound = allocate(problem).bound
    for crates in (
        first_in_first_out(problem, age),
        first_expired_first_out(problem, age),
        readiest(problem),
        as_it_is(problem),
    ):
        assert made.faults(problem, crates) == []
        assert made.worth(problem, crates) <= bound + 1e-6
        # What no rule brings stays where it is, and is moved nowhere.
        free = (problem.ways.want == NO_WANT) & problem.ways.free
        assert (problem.ways.moves[free & (crates > 0)] == 0).all()
        used = np.bincount(problem.ways.batch, crates, minlength=problem.crates.size)
        if not np.isfinite(problem.room).any():
            assert (used == problem.crates).all()


def test_what_no_market_takes_a_rule_sells_for_second_grade() -> None:
    problem = made.problem(1, batches=3, wants=2, places=1, missing=0.0)
    ways = problem.ways
    problem = made.with_second_grade(
        replace(
            problem,
            crates=np.full(3, 2),
            fruit_per_crate=np.full(3, 10.0),
            wants=replace(problem.wants, fruit=np.array([30.0, 1000.0])),
            ways=replace(ways, share=np.where(ways.pull < 0, 1.0, 0.0)),
        )
    )
    crates = as_it_is(problem)
    assert [int(crates[ways.want == want].sum()) for want in (0, 1)] == [3, 3]


@draws(30)
@given(st.integers(0, 10_000))
def test_as_it_is_moves_nothing(seed: int) -> None:
    problem = made.problem(seed, batches=8)
    assert as_it_is(problem)[problem.ways.pull >= 0].sum() == 0

"""The plan: feasible, as good as brute force, steady, and never worse for more room or demand."""

import itertools
import math
import threading
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.allocation import (
    GOOD_ENOUGH,
    WORTH_CHANGING,
    Allocation,
    allocate,
    nearby,
)
from ripenroom.planning.column_generation import MOST_STEPS
from ripenroom.planning.problem import FREE, Itineraries, Problem
from ripenroom.planning.relaxation import relaxed, small_gains
from ripenroom.science.clock import Indices
from tests.draws import draws
from tests.planning import made

SLACK = 2.5 * GOOD_ENOUGH
"""What the plan, with the ties, may be under the best whole one."""


def brute_force(problem: Problem) -> float:
    """Worth of the best whole plan, found by looking at all of them."""
    of_batch = []
    for batch, there in enumerate(problem.crates):
        own = np.flatnonzero(problem.ways.batch == batch)
        fixed = problem.ways.fixed[own]
        each = [range(int(there) + 1) if n == FREE else (int(n),) for n in fixed]
        counts = itertools.product(*each)
        of_batch.append([(own, count) for count in counts if sum(count) <= there])
    best = -math.inf
    for choice in itertools.product(*of_batch):
        crates = np.zeros(problem.ways.size, dtype=int)
        for own, count in choice:
            crates[own] = count
        worth = problem.value(crates)
        if worth > best and not made.too_full(problem, crates).any():
            best = worth
    return best


def with_ways(problem: Problem, order: Indices) -> Problem:
    ways = problem.ways
    columns = {name: getattr(ways, name)[order] for name in Itineraries.__dataclass_fields__}
    return replace(problem, ways=Itineraries(**columns))


@draws(60)
@given(st.integers(0, 10_000))
def test_every_plan_is_feasible_and_under_its_bound(seed: int) -> None:
    problem = made.problem(seed, batches=8, wants=5)
    found = allocate(problem)
    assert made.faults(problem, found.crates) == []
    assert found.value == pytest.approx(made.worth(problem, found.crates))
    assert found.value <= found.bound + 1e-6
    assert 0.0 <= found.gap <= 1.0


@pytest.mark.parametrize("seed", range(25))
def test_a_small_problem_is_solved_as_by_brute_force(seed: int) -> None:
    problem = made.problem(seed, batches=2, wants=2, most_crates=2, capacity=1.0)
    few = np.concatenate(
        [np.flatnonzero(problem.ways.batch == b)[:4] for b in range(problem.crates.size)]
    )
    problem = with_ways(problem, few)
    best = brute_force(problem)
    found = allocate(problem)
    assert found.bound >= best - 1e-6
    assert found.value >= best - SLACK * abs(best) - 1e-6


@pytest.mark.parametrize("seed", range(25))
def test_what_is_decided_and_second_grade_are_solved_as_by_brute_force(seed: int) -> None:
    problem = made.problem(seed, batches=2, wants=2, most_crates=2, capacity=1.0)
    few = np.concatenate(
        [np.flatnonzero(problem.ways.batch == b)[:4] for b in range(problem.crates.size)]
    )
    problem = made.with_second_grade(made.decided(with_ways(problem, few), seed), 40.0)
    best = brute_force(problem)
    found = allocate(problem)
    assert made.faults(problem, found.crates) == []
    assert found.bound >= best - 1e-6
    assert found.value >= best - SLACK * abs(best) - 1e-6


@pytest.mark.parametrize("seed", range(25))
def test_rooms_that_are_too_full_are_eased_or_left_as_by_brute_force(seed: int) -> None:
    problem = made.problem(seed, batches=2, wants=2, most_crates=3, capacity=1.0, overfull=True)
    few = np.concatenate(
        [np.flatnonzero(problem.ways.batch == b)[:4] for b in range(problem.crates.size)]
    )
    problem = with_ways(problem, few)
    best = brute_force(problem)
    found = allocate(problem)
    assert made.faults(problem, found.crates) == []
    assert found.bound >= best - 1e-6
    assert found.value >= best - SLACK * abs(best) - 1e-6


@draws(60)
@given(st.integers(0, 10_000), st.booleans(), st.booleans())
def test_nothing_new_comes_where_it_is_too_full(seed: int, hurried: bool, pinned: bool) -> None:
    problem = made.problem(seed, batches=9, wants=5, overfull=True)
    if pinned:
        problem = replace(made.decided(problem, seed), room=problem.room)
    found = allocate(problem, steps=0 if hurried else MOST_STEPS)
    assert made.faults(problem, found.crates) == []
    cut = relaxed(problem)
    assert not made.too_full(problem, cut.crates).any()
    assert found.value <= cut.bound + 1e-6
    assert problem.value(cut.crates) <= cut.bound + 1e-6
    for before in (None, found.crates):
        assert made.faults(problem, nearby(problem, before)[1]) == []
    assert made.load(problem, problem.as_they_stand) == pytest.approx(
        problem.load(problem.as_they_stand)
    )
    assert problem.standing() == pytest.approx(made.can_stand(problem))


@draws(60)
@given(st.integers(0, 10_000), st.booleans())
def test_what_is_decided_stays_so(seed: int, hurried: bool) -> None:
    problem = made.with_second_grade(made.decided(made.problem(seed, batches=8, wants=5), seed))
    found = allocate(problem, steps=0 if hurried else MOST_STEPS)
    assert made.faults(problem, found.crates) == []
    assert found.value == pytest.approx(made.worth(problem, found.crates))
    assert found.value <= found.bound + 1e-6


@draws(40)
@given(st.integers(0, 10_000))
def test_deciding_something_is_never_worth_more(seed: int) -> None:
    problem = made.problem(seed)
    fixed = made.decided(problem, seed)
    if (fixed.room > problem.room).any():
        return
    cut, crates = nearby(fixed)
    assert cut <= nearby(problem)[0] * (1.0 + GOOD_ENOUGH) + 1e-6
    assert made.faults(fixed, crates) == []


@draws(40)
@given(st.integers(0, 10_000), st.integers(0, 2), st.integers(0, 5))
def test_more_room_is_never_worth_less(seed: int, place: int, evening: int) -> None:
    problem = made.problem(seed)
    room = problem.room.copy()
    room[place, evening] += 2.0
    _is_no_worse(allocate(replace(problem, room=room)), allocate(problem))


@draws(40)
@given(st.integers(0, 10_000), st.integers(0, 2), st.floats(0.0, 40.0))
def test_more_demand_is_never_worth_less(seed: int, want: int, more: float) -> None:
    problem = made.problem(seed)
    fruit = problem.wants.fruit.copy()
    fruit[want] += more
    wants = replace(problem.wants, fruit=fruit)
    _is_no_worse(allocate(replace(problem, wants=wants)), allocate(problem))


def _is_no_worse(one: Allocation, other: Allocation) -> None:
    # Ties are counted in crates' worth, whose middle may have moved a little.
    assert one.bound >= other.bound * (1.0 - GOOD_ENOUGH) - 1e-6
    assert one.value >= other.value * (1.0 - SLACK) - 1e-6


@draws(30)
@given(st.integers(0, 10_000))
def test_the_same_problem_gives_the_same_plan(seed: int) -> None:
    one, two = (allocate(made.problem(seed, batches=8, wants=5)) for _ in range(2))
    assert one.crates.tolist() == two.crates.tolist()
    assert (one.value, one.bound) == (two.value, two.bound)


@draws(30)
@given(st.integers(0, 10_000))
def test_the_order_of_itineraries_does_not_matter(seed: int) -> None:
    problem = made.problem(seed)
    shuffled = np.random.default_rng(seed).permutation(problem.ways.size)
    one, two = allocate(problem), allocate(with_ways(problem, shuffled))
    assert two.bound == pytest.approx(one.bound, rel=1e-6, abs=1e-6)
    assert two.value == pytest.approx(one.value, rel=SLACK, abs=1e-6)


@draws(30)
@given(st.integers(0, 10_000))
def test_a_plan_that_is_kept_to_is_found_again(seed: int) -> None:
    problem = made.problem(seed)
    first = allocate(problem)
    again = allocate(
        replace(problem, ways=replace(problem.ways, kept=np.asarray(first.crates > 0)))
    )
    assert again.value >= first.value - SLACK * abs(first.value) - 1e-6
    assert again.crates[first.crates == 0].sum() <= first.crates.sum() / 2


@draws(40)
@given(st.integers(0, 10_000))
def test_a_plan_made_before_is_kept_unless_another_is_worth_it(seed: int) -> None:
    problem = made.problem(seed, batches=8, wants=5)
    before = np.random.default_rng(seed).integers(0, 3, problem.ways.size)
    found = allocate(problem, before=before)
    assert made.faults(problem, found.crates) == []
    best = allocate(problem)
    allowed = (WORTH_CHANGING + GOOD_ENOUGH) * best.bound + 1e-6
    assert found.value >= best.value - allowed - abs(float(small_gains(problem) @ best.crates))
    kept = replace(problem, ways=replace(problem.ways, kept=np.asarray(best.crates > 0)))
    again = allocate(kept, before=best.crates).crates
    gains = small_gains(kept)

    def worth(crates: Indices) -> float:
        return problem.value(crates) + float(gains @ crates)

    assert again.tolist() == best.crates.tolist() or worth(again) > worth(best.crates)


def test_of_two_equal_ways_the_one_without_a_move_is_taken() -> None:
    problem = made.problem(1, batches=1, wants=1, places=1)
    ways = problem.ways
    stay, move = np.flatnonzero(ways.want == 0)[0], np.flatnonzero(ways.pull >= 0)[0]
    share = np.where(ways.want == 0, 0.1, 0.0)
    share[[stay, move]] = 0.5
    free = np.zeros(ways.size)
    equal = replace(problem, crates=np.array([1]), ways=replace(ways, share=share, handling=free))
    assert allocate(equal).crates[stay] == 1
    kept = np.arange(ways.size) == move
    both = replace(equal, ways=replace(equal.ways, kept=kept))
    assert allocate(both).crates[move] == 1


def test_a_cancelled_plan_is_feasible() -> None:
    problem = made.problem(2, batches=30, wants=10)
    cancel = threading.Event()
    cancel.set()
    found = allocate(problem, cancel=cancel)
    assert made.faults(problem, found.crates) == []
    assert found.value <= found.bound


def test_without_time_what_is_readiest_is_sold() -> None:
    problem = made.problem(2, batches=30, wants=10)
    found = allocate(problem, steps=0)
    assert made.faults(problem, found.crates) == []
    assert found.value > 0.5 * allocate(problem).value
    assert found.bound >= allocate(problem).value


def test_nothing_to_plan() -> None:
    empty = made.problem(0, batches=0)
    found = allocate(empty)
    assert (found.crates.size, found.value, found.bound, found.gap) == (0, 0.0, 0.0, 0.0)
    problem = made.problem(1)
    none = allocate(replace(problem, crates=np.zeros_like(problem.crates)))
    assert none.crates.sum() == 0

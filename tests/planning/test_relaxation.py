"""The best plan with cut crates bounds all others; its duals say what a little more is worth."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from ripenroom.planning.problem import NO_WANT, Problem
from ripenroom.planning.programme import programme
from ripenroom.planning.relaxation import crate_worth, relaxed, shadows, small_gains, worth_alone
from ripenroom.science.softening import Floats
from tests.draws import draws
from tests.planning import made
from tests.planning.made import can_stand, problem, too_full


def summed_up(problem: Problem) -> tuple[Floats, Floats, Floats, Floats]:
    """The same programme with a row for every place and evening: gain, rows, limits, highest."""
    ways, wants = problem.ways, problem.wants
    sold = wants.fruit.size
    rows = [np.append(ways.batch == b, np.zeros(2 * sold)) for b in range(problem.crates.size)]
    limits = list(problem.crates.astype(float))
    for want in range(sold):
        brought = np.where(ways.want == want, -problem.fruit, 0.0)
        rows.append(np.concatenate([brought, np.arange(sold) == want, np.arange(sold) == want]))
        limits.append(0.0)
    alone = [made.load(problem, np.eye(ways.size, dtype=int)[way]) for way in range(ways.size)]
    for place, evening in np.argwhere(np.isfinite(problem.room)):
        row = [counted[place, evening] for counted in alone]
        rows.append(np.append(row, np.zeros(2 * sold)))
        limits.append(float(problem.room[place, evening]))
    own = small_gains(problem) - ways.handling
    gain = np.concatenate([own, wants.price, 0.5 * wants.price])
    highest = np.concatenate([np.full(ways.size, np.inf), wants.fruit, 0.25 * wants.fruit])
    return gain, np.array(rows, float), np.array(limits), highest


@draws(30)
@given(st.integers(0, 10_000))
def test_another_formulation_and_solver_find_the_same(seed: int) -> None:
    problem = made.problem(seed, batches=5, wants=4)
    if not problem.crates.any():
        return
    gain, rows, limits, highest = summed_up(problem)
    unit = crate_worth(problem)
    other = linprog(  # type: ignore[call-overload]
        -gain / unit,
        A_ub=rows,
        b_ub=limits,
        bounds=np.column_stack([np.zeros(highest.size), highest]),
        method="highs-ipm",
    )
    ours = relaxed(problem)
    most_cost = -small_gains(problem).min() * problem.crates.sum()
    best = -other.fun * unit
    most_sold = float(problem.wants.value(np.full(4, np.inf)).sum())
    least = min(best, most_sold)
    assert least - 1e-6 * unit <= ours.bound <= best + most_cost + 1e-6 * unit
    reached = problem.value(ours.crates) + float(small_gains(problem) @ ours.crates)
    assert reached == pytest.approx(best, abs=1e-5 * unit)


@draws(30)
@given(st.integers(0, 10_000), st.integers(0, 10_000))
def test_no_prices_of_crates_and_room_undercut_the_best(seed: int, prices: int) -> None:
    """Weak duality, written out: any prices whatever of crates and room bound what can be had."""
    problem = made.problem(seed)
    rng = np.random.default_rng(prices)
    unit = crate_worth(problem)
    crate_price = rng.uniform(0.0, 2.0 * unit, problem.crates.size)
    tight = np.isfinite(problem.room)
    room_price = np.where(tight, rng.uniform(0.0, 0.3 * unit, problem.room.shape), 0.0)
    fruit_price = rng.uniform(0.0, 1.0, problem.wants.fruit.size) * problem.wants.price
    ways, wants = problem.ways, problem.wants
    bound = float(crate_price @ problem.crates) + float(
        (room_price[tight] * problem.room[tight]).sum()
    )
    for price, fruit in ((1.0, 1.0), (0.5, 0.25)):
        over = np.maximum(price * wants.price - fruit_price, 0.0)
        bound += float((over * fruit * wants.fruit).sum())
    for way in range(ways.size):
        want = ways.want[way]
        brings = 0.0 if want == NO_WANT else problem.fruit[way] * fruit_price[want]
        takes = made.load(problem, np.eye(ways.size, dtype=int)[way])
        costs = crate_price[ways.batch[way]] + float((room_price * takes).sum())
        left = brings + small_gains(problem)[way] - ways.handling[way] - costs
        bound += max(left, 0.0) * problem.crates[ways.batch[way]]
    best = relaxed(problem)
    assert problem.value(best.crates) + float(small_gains(problem) @ best.crates) <= bound + 1e-6


def test_the_unknowns_of_places_are_what_stands_there() -> None:
    problem = made.problem(11)
    model = programme(problem, small_gains(problem))
    cut = relaxed(problem).crates
    stored = made.load(problem, cut)[np.isfinite(problem.room).any(axis=1)].ravel()
    sold = np.zeros(2 * problem.wants.fruit.size)
    unknowns = np.concatenate([cut, sold, stored])
    assert model.even @ unknowns == pytest.approx(np.zeros(stored.size), abs=1e-9)
    assert (unknowns <= model.highest + 1e-6).all()


def test_without_time_the_bound_is_that_everything_sells() -> None:
    problem = made.problem(5, batches=40, wants=12)
    hurried = relaxed(problem, 0)
    assert hurried.bound >= relaxed(problem).bound
    assert made.faults(problem, hurried.crates.astype(int)) == []


def test_ties_are_too_small_to_sell_less() -> None:
    problem = made.problem(8)
    worth = worth_alone(problem)
    assert np.abs(small_gains(problem)).max() < 1e-3 * np.median(worth[worth > 0.0])


SEEDS = range(12)
STEP = 1e-3


def value(given: Problem) -> float:
    return given.value(relaxed(given).crates)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_plan_is_that_of_the_programme(seed: int) -> None:
    given = problem(seed, batches=6)
    found = shadows(given)
    assert given.value(found.crates) == pytest.approx(value(given))
    assert (found.room >= 0.0).all()
    assert (found.wanted >= -1e-6).all()
    assert not found.room[~given.tight].any()


@pytest.mark.parametrize("seed", SEEDS)
def test_room_is_worth_what_a_little_more_of_it_brings(seed: int) -> None:
    given = problem(seed, batches=6, capacity=3)
    # Room that is just filled by what may stand there anyway is no limit to that.
    given = replace(given, room=np.maximum(given.room, can_stand(given) + 0.5))
    found = shadows(given)
    base = value(given)
    for place, evening in np.argwhere(given.room < np.inf).tolist():
        room = given.room.copy()
        room[place, evening] += STEP
        more = value(replace(given, room=room)) - base
        room[place, evening] -= 2 * STEP
        less = base - value(replace(given, room=room))
        # Where a limit just begins to bind, any dual between the two slopes is right.
        low, high = sorted((more / STEP, less / STEP))
        slack = 0.05 + 0.01 * abs(high)
        assert low - slack <= found.room[place, evening] <= high + slack


@pytest.mark.parametrize("seed", SEEDS)
def test_a_want_is_worth_what_a_fruit_more_of_it_brings(seed: int) -> None:
    given = problem(seed, batches=6)
    found = shadows(given)
    base = value(given)
    for want, fruit in enumerate(given.wants.fruit):
        if fruit < 1.0:
            continue
        asked = given.wants.fruit.copy()
        asked[want] += STEP
        more = value(replace(given, wants=replace(given.wants, fruit=asked))) - base
        asked[want] -= 2 * STEP
        less = base - value(replace(given, wants=replace(given.wants, fruit=asked)))
        low, high = sorted((more / STEP, less / STEP))
        slack = 0.05 + 0.01 * abs(high)
        assert low - slack <= found.wanted[want] <= high + slack


@pytest.mark.parametrize("seed", SEEDS)
def test_at_these_prices_no_crate_would_rather_go_another_way(seed: int) -> None:
    """Complementary slackness: every way that is used earns as much as any of its batch."""
    given = problem(seed, batches=6, capacity=3)
    found = shadows(given)
    ways = given.ways
    price = np.append(found.fruit, 0.0)[ways.want]
    earns = price * given.fruit - found.charge(given) - ways.handling + small_gains(given)
    for batch in range(given.crates.size):
        own = ways.batch == batch
        if found.crates[own].sum() > 0.0:
            used = own & (found.crates > 1e-6)
            assert earns[used].min() >= earns[own].max() - 0.01 * crate_worth(given)


def test_room_in_places_that_are_too_full_is_worth_letting_something_in() -> None:
    named = 0
    for seed in SEEDS:
        given = problem(seed, batches=6, wants=5, capacity=1, overfull=True)
        found = shadows(given)
        assert not too_full(given, found.crates).any()
        assert given.value(found.crates) == pytest.approx(value(given))
        barred = np.flatnonzero(found.shut)
        assert (found.crates[barred] == 0.0).all()
        assert (found.charge(given)[barred] >= given.fruit[barred] * given.wants.price.max()).all()
        standing = given.load(found.crates) > given.room + 1e-6
        named += int((found.room[standing] > 0.0).any())
    assert named >= 3


def test_a_problem_without_anything_to_decide() -> None:
    given = problem(1)
    nothing = replace(given, crates=np.zeros_like(given.crates))
    found = shadows(nothing)
    assert not found.crates.any()
    assert not found.room.any()


def test_without_time_all_is_left_as_it_stands() -> None:
    given = problem(2, batches=40, wants=12, most_crates=9)
    found = shadows(given, 0)
    assert found.crates.tolist() == given.as_they_stand.tolist()
    assert (found.crates[given.ways.want != NO_WANT] == 0.0).all()
    assert not found.wanted.any()

"""Duals: what a little more of each limit is worth, against programmes solved again."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.planning.problem import NO_WANT, Problem
from ripenroom.planning.relaxation import crate_worth, relaxed, small_gains
from ripenroom.planning.shadow import shadows
from tests.planning.made import can_stand, problem, too_full

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

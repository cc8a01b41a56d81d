"""What makes way for crates that come into full places, counted by hand."""

import math
import random

import pytest

from ripenroom.planning.make_way import Idle, IdleMove, make_way
from ripenroom.planning.move_order import NOWHERE

A, B, C = range(3)


def test_past_crates_are_cleared_where_something_comes_as_many_as_must_go() -> None:
    idle = [Idle(A, 3, past=False), Idle(A, 2, past=True), Idle(B, 2, past=True)]
    assert make_way(idle, [1, 1, 0], {A}, [A, B, C]) == [IdleMove(1, 1, NOWHERE)]


def test_good_crates_go_to_the_first_place_with_room() -> None:
    idle = [Idle(A, 3, past=False)]
    assert make_way(idle, [2, -1, -math.inf], {A}, [B, C]) == [IdleMove(0, 1, B), IdleMove(0, 1, C)]
    assert make_way(idle, [2, -1, -math.inf], {A}, [C, B]) == [IdleMove(0, 2, C)]


def test_past_crates_elsewhere_are_cleared_only_where_there_is_no_room_as_it_is() -> None:
    idle = [Idle(A, 3, past=False), Idle(B, 3, past=True)]
    assert make_way(idle, [2, 0, -2], {A}, [B, C]) == [IdleMove(0, 2, C)]
    # One too many stands there already: it goes first.
    found = make_way(idle, [2, 1, -1], {A}, [B, C])
    assert found == [IdleMove(0, 1, C), IdleMove(1, 2, NOWHERE), IdleMove(0, 1, B)]


def test_good_crates_are_cleared_last_and_only_what_is_too_many() -> None:
    idle = [Idle(A, 3, past=False), Idle(A, 1, past=True)]
    found = make_way(idle, [3, 0, -1], {A}, [B, C])
    assert found == [IdleMove(1, 1, NOWHERE), IdleMove(0, 1, C), IdleMove(0, 1, NOWHERE)]


@pytest.mark.parametrize("seed", range(200))
def test_nothing_good_is_cleared_while_there_is_room(seed: int) -> None:
    rng = random.Random(seed)
    idle = [
        Idle(rng.randrange(3), rng.randint(1, 4), rng.random() < 0.4)
        for _ in range(rng.randint(1, 6))
    ]
    short = [rng.choice((-math.inf, -3.0, -1.0, 0.0, 1.0, 2.0, 5.0)) for _ in range(3)]
    to = rng.sample(range(3), rng.randint(1, 3))
    comes = set(rng.sample(range(3), rng.randint(1, 3)))
    left = [one.crates for one in idle]
    ends = list(short)
    ways = make_way(idle, short, comes, to)
    for number, crates, target in ways:
        assert crates > 0
        left[number] -= crates
        ends[idle[number].place] -= crates
        if target != NOWHERE:
            assert target in to
            assert not idle[number].past
            ends[target] += crates
    assert min(left) >= 0
    for place, over in enumerate(short):
        # Nothing is filled too full, nor cleared beyond what must be.
        assert ends[place] <= max(over, 0)
        if place in comes and over > 0:
            stays = sum(n for n, one in zip(left, idle, strict=True) if one.place == place)
            assert ends[place] == 0 or not stays
    if any(target == NOWHERE and not idle[number].past for number, _, target in ways):
        for place in to:
            past = sum(
                n for n, one in zip(left, idle, strict=True) if one.past and one.place == place
            )
            assert ends[place] >= 0
            assert ends[place] > 0 or not past

"""What was looked at is not looked at again until it has moved."""

import numpy as np
import pytest

from ripenroom.science.learning.farm import Farm
from ripenroom.science.learning.seen import Looking, Point, Seen
from tests.science.learning.farms import Layout, farm


@pytest.fixture
def of() -> Farm:
    return farm(Layout(2, (2.0, 4.0), by_hand=True), 3)[0]


def start(of: Farm, age: float = 0.0) -> Point:
    return Point(of.prior()[0], of.harvests.age + age)


def test_a_little_way_off_the_expansion_says_enough(of: Farm) -> None:
    looking = Looking(of)
    first = looking.look(start(of), Seen.nothing(4))
    near = looking.look(start(of, 0.005), first.seen)
    anew = looking.look(start(of, 0.005), Seen.nothing(4))
    assert near.seen is first.seen
    assert near.here.value == pytest.approx(anew.here.value, abs=1e-4)
    assert near.here.x == pytest.approx(anew.here.x, abs=1e-2)


def test_only_what_moved_is_looked_at_anew(of: Farm) -> None:
    looking = Looking(of)
    first = looking.look(start(of), Seen.nothing(4))
    moved = Point(start(of).shared, of.harvests.age + np.array([0.0, 0.5]))
    there = looking.look(moved, first.seen)
    same = of.checks.harvest == 0
    assert (there.seen.at_age == first.seen.at_age).tolist() == same.tolist()
    assert there.here.value == pytest.approx(looking.look(moved, Seen.nothing(4)).here.value)


def test_third_derivatives_are_those_of_the_curvature(of: Farm) -> None:
    looking = Looking(of)
    seen = looking.with_third(looking.look(start(of), Seen.nothing(4))).seen
    older, younger = (looking.look(start(of, age), Seen.nothing(4)).here for age in (0.05, -0.05))
    assert seen.third.xxx == pytest.approx((older.xx - younger.xx) / 0.1, abs=0.05)


def test_what_another_saw_is_taken_over(of: Farm) -> None:
    seen = Looking(of).look(start(of), Seen.nothing(4)).seen
    taken = Seen.nothing(3).put(np.array([2]), seen, np.array([1]))
    assert np.isnan(taken.at_age[:2]).all()
    assert taken.at_age[2] == seen.at_age[1]
    assert taken.expansion.xx[2] == seen.expansion.xx[1]

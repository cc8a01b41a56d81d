"""What was looked at is not looked at again until it has moved."""

import numpy as np
import pytest

from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.learning.likelihood_cache import Evaluator, LikelihoodCache, Point
from ripenroom.science.learning.model import FarmModel
from tests.science.learning.farms import Layout, farm


@pytest.fixture
def of() -> FarmModel:
    return farm(Layout(2, (2.0, 4.0), by_hand=True), 3)[0]


def start(of: FarmModel, age: float = 0.0) -> Point:
    return Point(of.prior()[0], of.harvests.age + age)


def test_a_little_way_off_the_expansion_says_enough(of: FarmModel) -> None:
    evaluator = Evaluator(of)
    first = evaluator.look(start(of), LikelihoodCache.nothing(4))
    near = evaluator.look(start(of, 0.005), first.seen)
    anew = evaluator.look(start(of, 0.005), LikelihoodCache.nothing(4))
    assert near.seen is first.seen
    assert near.here.value == pytest.approx(anew.here.value, abs=1e-4)
    assert near.here.x == pytest.approx(anew.here.x, abs=1e-2)


def test_only_what_moved_is_looked_at_anew(of: FarmModel) -> None:
    evaluator = Evaluator(of)
    first = evaluator.look(start(of), LikelihoodCache.nothing(4))
    moved = Point(start(of).shared, of.harvests.age + np.array([0.0, 0.5]))
    there = evaluator.look(moved, first.seen)
    same = of.checks.harvest == 0
    assert (there.seen.at_age == first.seen.at_age).tolist() == same.tolist()
    assert there.here.value == pytest.approx(
        evaluator.look(moved, LikelihoodCache.nothing(4)).here.value
    )


@pytest.mark.parametrize("by_hand", [True, False])
def test_third_derivatives_are_those_of_the_curvatures(by_hand: bool) -> None:
    of = farm(Layout(2, (2.0, 4.0), by_hand=by_hand), 3)[0]
    evaluator, step = Evaluator(of), 0.01

    def at(age: float = 0.0, log_spread: float = 0.0) -> Expansion:
        shared = of.prior()[0]
        shared[of.log_spread] += log_spread
        point = Point(shared, of.harvests.age + age)
        return evaluator.look(point, LikelihoodCache.nothing(4)).here

    look, third = evaluator.look_further(start(of))
    assert look.here.xx.tolist() == at().xx.tolist()
    older, younger, wider, closer = at(step), at(-step), at(0.0, step), at(0.0, -step)
    for found, ahead, behind in (
        (third.xxx, older.xx, younger.xx),
        (third.xxs, older.xs, younger.xs),
        (third.xxs, wider.xx, closer.xx),
        (third.xss, older.ss, younger.ss),
        (third.sss, wider.ss, closer.ss),
    ):
        assert found == pytest.approx((ahead - behind) / (2.0 * step), abs=0.01, rel=0.01)


def test_what_another_saw_is_taken_over(of: FarmModel) -> None:
    seen = Evaluator(of).look(start(of), LikelihoodCache.nothing(4)).seen
    taken = LikelihoodCache.nothing(3).put(np.array([2]), seen, np.array([1]))
    assert np.isnan(taken.at_age[:2]).all()
    assert taken.at_age[2] == seen.at_age[1]
    assert taken.expansion.xx[2] == seen.expansion.xx[1]

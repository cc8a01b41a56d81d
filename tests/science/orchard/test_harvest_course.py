"""What is still to come of harvests that are drawn fruit by fruit, by their picks so far."""

import math
from collections.abc import Sequence

import numpy as np
import pytest

from ripenroom.science.orchard.harvest_course import FIRST_SDS, Course, course_of
from ripenroom.season.orchard.priors import SPREAD_DAYS
from ripenroom.season.plans.harvests import CULTIVAR_SPREAD_DAYS, DAY_TO_DAY, SPREAD_LOG_SD

TAIL = 1.2816


def course(days: Sequence[int], fruit: Sequence[float], **given: tuple[float, float]) -> Course:
    return course_of(days, fruit, CULTIVAR_SPREAD_DAYS, SPREAD_LOG_SD, DAY_TO_DAY, **given)


def drawn(seed: int) -> tuple[list[int], list[int]]:
    """Days and fruit of all picks of a harvest, counted from the first of them: each fruit is due
    on a day of its own, rows lie some days apart, and each pick overlooks some."""
    draw = np.random.default_rng(seed)
    rows = int(draw.integers(1, 5))
    sd = SPREAD_DAYS * math.exp(draw.normal(0.0, 0.35))
    number = int(math.exp(draw.normal(6.0, 0.6)))
    due = draw.normal(0.0, 2.0, rows)[draw.integers(0, rows, number)]
    due += draw.normal(0.0, sd, number)
    first = due.mean() + draw.normal(-TAIL, 0.5) * due.std()
    gap = int(draw.integers(2, 5))
    days, fruit = [], []
    for n in range(40):
        there = due <= first + n * gap
        taken = there & (draw.random(number) < draw.uniform(0.65, 0.98))
        due[taken] = np.inf
        if taken.any():
            days.append(n * gap)
            fruit.append(int(taken.sum()))
    return [day - days[0] for day in days], fruit


def off(picks: int, count: int = 150) -> list[tuple[float, float, float]]:
    """Of drawn harvests of which so many picks are known: what comes, is said to, and the sd."""
    found: list[tuple[float, float, float]] = []
    for seed in range(count):
        days, fruit = drawn(seed)
        if len(days) > picks:
            said, sd = course(days[:picks], fruit[:picks]).comes(0.0, math.inf)
            found.append((float(sum(fruit[picks:])), said, sd))
    return found


@pytest.mark.parametrize("picks", [2, 3, 4, 6])
def test_as_many_are_said_to_come_as_do(picks: int) -> None:
    came, said, sd = np.array(off(picks)).T
    assert abs(float(np.median(np.log((said + 5.0) / (came + 5.0))))) < 0.25
    # The range is wide, and holds most of them.
    of_picks = DAY_TO_DAY / math.sqrt(picks) * said
    held = np.abs(came - said) <= TAIL * np.hypot(sd, of_picks) + 2.0
    assert held.mean() > 0.7


def test_a_harvest_rises_before_it_falls() -> None:
    begun = course([0, 2], [20, 45])
    next_two, then_two = begun.comes(0.0, 2.0)[0], begun.comes(2.0, 4.0)[0]
    assert 45 < next_two < then_two
    assert begun.comes(0.0, math.inf)[0] > 4 * 65
    ends = course([0, 2, 4, 6, 8, 10], [20, 45, 70, 60, 30, 12])
    assert ends.comes(0.0, 2.0)[0] < 12
    assert ends.comes(0.0, math.inf)[0] < 20


def test_what_comes_adds_up_and_ends() -> None:
    own = course([0, 3, 5], [30, 60, 50])
    parts = [own.comes(day, day + 2.0)[0] for day in range(0, 80, 2)]
    assert min(parts) >= 0.0
    assert sum(parts) == pytest.approx(own.comes(0.0, 80.0)[0])
    assert own.comes(0.0, 80.0)[0] == pytest.approx(own.comes(0.0, math.inf)[0], rel=1e-3)


def test_who_is_picked_evenly_for_long_goes_on() -> None:
    even = course(list(range(0, 40, 2)), [60.0] * 20)
    assert even.comes(0.0, 2.0)[0] > 30


def test_other_harvests_tell_how_many_there_are() -> None:
    alone = course([0], [20])
    few = course([0], [20], usual=(math.log(100), 0.6))
    many = course([0], [20], usual=(math.log(800), 0.6))
    whole = [one.comes(0.0, math.inf)[0] for one in (few, alone, many)]
    assert whole == sorted(whole)
    # By itself one pick is a tenth of all, as first picks mostly are.
    assert math.exp(alone.usual_log_all) == pytest.approx(20 / 0.1, rel=0.5)
    assert pytest.approx(-TAIL, abs=1e-3) == FIRST_SDS
    assert alone.weight.sum() == pytest.approx(1.0)

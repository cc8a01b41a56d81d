"""A few batches that are led by one of them: whom it leads, and that it stands for all of them."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import relaxed
from ripenroom.planning.rough_itineraries import as_led, leaders, led_by
from tests.planning.made import problem


@pytest.mark.parametrize("most", [1, 7, 40, 100, 1_000])
def test_batches_are_led_by_one_that_is_alike_and_next_to_them(most: int) -> None:
    rng = np.random.default_rng(most)
    place, crop = rng.integers(0, 3, 100), rng.integers(0, 2, 100)
    past_h = np.where(rng.random(100) < 0.1, np.inf, rng.random(100))
    leader = leaders((place, crop), past_h, most)
    assert (leader[leader] == leader).all()
    assert (place[leader] == place).all()
    assert (crop[leader] == crop).all()
    each = -(-100 // most)
    assert np.bincount(leader).max() <= each
    assert np.unique(leader).size <= most + 6
    for one in np.unique(leader):
        own = (place == place[one]) & (crop == crop[one])
        low, high = past_h[leader == one].min(), past_h[leader == one].max()
        between = own & (past_h > low) & (past_h < high)
        assert (leader[between] == one).all()


def test_few_batches_lead_themselves() -> None:
    assert leaders((np.zeros(5, np.intp),), np.arange(5.0)[::-1]).tolist() == [0, 1, 2, 3, 4]


def test_all_that_are_led_are_found_by_their_leaders() -> None:
    leader = np.array([3, 1, 3, 3, 4, 1])
    batch, entry = led_by(np.array([1, 3, 1]), leader)
    assert batch.tolist() == [1, 5, 0, 2, 3, 1, 5]
    assert entry.tolist() == [0, 0, 1, 1, 1, 2, 2]


@pytest.mark.parametrize("seed", range(4))
def test_a_leader_of_equal_batches_stands_for_all_of_them(seed: int) -> None:
    one = problem(seed, batches=5, most_crates=6)
    twice, leader = doubled(one), np.tile(np.arange(5), 2)
    led, each = relaxed(as_led(twice, leader)), relaxed(twice)
    assert led.reach == pytest.approx(each.reach, rel=1e-9)
    assert as_led(twice, leader).ways.size == one.ways.size
    assert as_led(twice, None) is twice


def doubled(one: Problem) -> Problem:
    """The problem with each of its batches twice."""
    ways, again = one.ways, replace(one.ways, batch=one.ways.batch + one.crates.size)
    both = {
        name: np.concatenate([getattr(ways, name), getattr(again, name)])
        for name in ways.__dataclass_fields__
    }
    return replace(
        one,
        crates=np.tile(one.crates, 2),
        fruit_per_crate=np.tile(one.fruit_per_crate, 2),
        ways=replace(ways, **both),
    )

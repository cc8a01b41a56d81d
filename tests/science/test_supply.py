"""Ready fruit of several heaps, held to fruit that are drawn one by one."""

import numpy as np
import pytest

from ripenroom.science.supply import ready_fruit, ready_over_truths


def test_heaps_of_many_fruit_add_up_as_drawn_fruit_do() -> None:
    """Each truth has its own share; every fruit of a heap is ready by that chance."""
    rng = np.random.default_rng(2)
    fruit, truths = np.array([60.0, 90.0]), 40_000
    share = np.clip(rng.normal([[0.5], [0.7]], 0.1, (2, truths)), 0.05, 0.95)
    drawn = rng.binomial(fruit[:, None].astype(int), share).sum(axis=0)
    expected = share.mean(axis=1)
    low, mid, high = ready_over_truths(fruit, expected, share, rng.standard_normal((2, truths)))
    assert mid == pytest.approx(drawn.mean(), abs=0.3)
    assert (low, high) == pytest.approx(np.quantile(drawn, (0.1, 0.9)), abs=1.0)


def test_no_more_is_ready_than_there_is() -> None:
    share, chance_z = np.array([[0.0, 1.0, 1.4]]), np.array([[-3.0, 3.0, 3.0]])
    low, mid, high = ready_over_truths(np.array([10.0]), np.array([0.6]), share, chance_z)
    assert 0.0 <= low <= mid <= high <= 10.0
    assert mid == pytest.approx(6.0)


def test_batches_that_share_their_rate_are_early_together() -> None:
    """Two heaps alike have twice the range of one, not the root of two times it."""
    levels = np.linspace(0.2, 0.8, 21)
    one = ready_fruit(np.array([10.0]), np.array([0.5]), levels[None, :])
    both = ready_fruit(np.array([10.0, 10.0]), np.array([0.5, 0.5]), np.stack([levels, levels]))
    assert both == pytest.approx([2.0 * end for end in one])
    assert one[0] < one[1] < one[2]


def test_the_expected_number_is_held_in_the_range() -> None:
    low, mid, high = ready_fruit(np.array([10.0]), np.array([0.9]), np.full((1, 21), 0.3))
    assert (low, mid, high) == pytest.approx((3.0, 9.0, 9.0))

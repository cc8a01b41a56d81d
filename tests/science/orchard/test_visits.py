"""How often a walk is worth it, and which feel is worth picking."""

import numpy as np
import pytest

from ripenroom.science.orchard.row_fit import RowsBelief, learn
from ripenroom.science.orchard.visits import pick_by_feel, walk_every
from tests.science.orchard.rows_made import cultivars, marks, rows_of, walks

RIPENS = np.tile([0.15, 0.95, 1.0, 1.0, 1.0], (2, 1))


def believed() -> RowsBelief:
    """A row in mid-season and one of another cultivar, far from it."""
    seen = walks(
        [0, 0, 0, 1],
        [129.0, 132.0, 134.0, 134.0],
        [[27.0, 3, 0, 0, 0], [20.0, 8, 2, 0, 0], [15.0, 9, 4, 2, 0], [30.0, 0, 0, 0, 0]],
    )
    before = cultivars(2)
    before.mean[1, 0], before.sd[1, 0] = 165.0, 3.0
    return learn(rows_of([0, 1]), marks(2), before, seen)


def test_a_row_that_turns_is_walked_more_often_the_less_a_walk_costs() -> None:
    belief = believed()
    week = np.tile(np.arange(134.0, 142.0), (2, 1))
    every = [float(walk_every(belief, week, np.full(2, cost))[0]) for cost in (0.2, 5.0, 40.0)]
    assert every == sorted(every)
    assert every[0] < every[2]
    # From first give to the drop or too soft it is some seven days.
    assert 2.0 <= every[0] <= 7.0


def test_a_row_in_which_nothing_turns_is_not_worth_a_walk() -> None:
    week = np.tile(np.arange(134.0, 142.0), (2, 1))
    every = walk_every(believed(), week, np.full(2, 2.0))
    assert np.isfinite(every[0])
    assert np.isinf(every[1])


def test_waiting_a_day_lets_hard_fruit_come_on_and_soft_fruit_go() -> None:
    advice = pick_by_feel(believed(), np.full(2, 134.0), np.ones(2), RIPENS)
    hard, slight, gives, soft, too_soft = range(5)
    assert advice.later[0, hard] > advice.now[0, hard] + 0.01
    assert advice.later[0, slight] > advice.now[0, slight]
    assert advice.lost[0, soft] > advice.lost[0, gives] > advice.lost[0, slight]
    assert advice.later[0, soft] < advice.now[0, soft]
    assert advice.now[0, too_soft] < 0.6
    assert ((advice.now[0] >= 0.0) & (advice.now[0] <= 1.0)).all()
    assert (advice.later[0] + advice.lost[0] <= 1.0 + 1e-9).all()


def test_a_long_wait_loses_all_that_gives() -> None:
    advice = pick_by_feel(believed(), np.full(2, 134.0), np.full(2, 30.0), RIPENS)
    assert (advice.lost[0, 1:] > 0.98).all()
    assert (advice.later[0, 1:] < 0.02).all()


def test_no_wait_changes_nothing() -> None:
    advice = pick_by_feel(believed(), np.full(2, 134.0), np.zeros(2), RIPENS)
    assert advice.later[0] == pytest.approx(advice.now[0], abs=1e-9)
    assert (advice.lost[0, :3] < 0.02).all()


def test_shares_of_a_feel_that_nothing_has_are_not_told() -> None:
    advice = pick_by_feel(believed(), np.full(2, 134.0), np.ones(2), RIPENS)
    assert advice.fruit[0].sum() > 50.0
    assert np.isnan(advice.now[1, 3])
    assert np.isfinite(advice.now[1, 0])

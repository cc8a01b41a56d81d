"""The clock of the tree and what fruit feels like by it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.orchard.tree_clock import FEELS, TreeClock, shares_by_feel
from tests.draws import draws

STARTS = np.array([0.0, 2.1, 3.7, 7.8])


def test_a_calendar_counts_days_before_in_and_after_it() -> None:
    clock = TreeClock.of_calendar(1000, 30)
    days = np.array([990.0, 1000.0, 1029.0, 1050.0])
    assert clock.at(days) == pytest.approx(days - 999.5)
    assert clock.day(clock.at(days)) == pytest.approx(days)


def test_heat_makes_warm_days_count_for_more() -> None:
    clock = TreeClock.of_heat(0, [9.0, 18.0, 0.0, 4.5], 9.0)
    assert clock.at([-0.5, 0.5, 1.5, 2.5, 3.5]) == pytest.approx([0.0, 1.0, 3.0, 3.0, 3.5])


@draws(40)
@given(st.lists(st.floats(0.0, 25.0), min_size=3, max_size=40), st.floats(-5.0, 60.0))
def test_the_day_is_the_inverse_of_the_count(heat: list[float], day: float) -> None:
    clock = TreeClock.of_heat(0, heat, 9.0)
    count = clock.at(day)
    back = clock.day(count)
    assert float(clock.at(back)) == pytest.approx(float(count), abs=1e-6)
    assert float(back) <= day + 1e-6


def test_shares_by_feel_go_from_hard_to_too_soft() -> None:
    since = np.array([-10.0, 1.0, 3.0, 5.0, 30.0])
    shares = shares_by_feel(since, STARTS, np.full(5, 0.2))
    assert shares.shape == (5, FEELS)
    assert shares.sum(axis=1) == pytest.approx(np.ones(5))
    assert shares.argmax(axis=1).tolist() == [0, 1, 2, 3, 4]
    # A hand that errs by half a day finds a fruit that just gives hard in one case of two.
    assert shares_by_feel(0.0, STARTS, np.array(0.5))[0] == pytest.approx(0.5)

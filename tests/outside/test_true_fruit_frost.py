"""Fruit in a place that freezes it: lost once its pulp was frozen for six hours in all."""

import numpy as np
import pytest

from tests.outside.season_says import Says, season_says
from tests.outside.true_dates import A_TENTH_OF_A_DAY_H
from tests.outside.true_pulp import FROZEN_IN_H, Journey, course_of, ended_h, frozen_h, reached_h

FELT = {"peach": (0, 20, 0, 0, 0), "avocado": (20, 0, 0, 0, 0), "pear": (20, 0, 0, 0, 0)}
UNTIL_H = 240.0
STEP_H = 0.25

FROZEN = {
    "brought in warm": Journey(26.0, 8.0, ((0.0, -3.0),)),
    "after three days in the warm": Journey(20.0, 6.0, ((0.0, 20.0), (72.0, -3.0))),
    "in two nights that add up": Journey(
        0.0, 2.0, ((0.0, -3.0), (6.0, 4.0), (24.0, -3.0), (30.0, 4.0), (48.0, -3.0), (54.0, 4.0))
    ),
}
NOT_FROZEN = {
    "out again before the pulp freezes": Journey(26.0, 8.0, ((0.0, -3.0), (20.0, 4.0))),
    "one short night": Journey(0.0, 2.0, ((0.0, -3.0), (5.0, 4.0))),
    "just above freezing": Journey(4.0, 4.0, ((0.0, -0.4),)),
}


def supplied_h(says: Says) -> float:
    """Hours for which the batch is in supply, of those that are looked at."""
    return STEP_H * float(says.in_supply(np.arange(0.0, UNTIL_H, STEP_H)).sum())


@pytest.mark.parametrize("way", FROZEN)
@pytest.mark.parametrize("crop", FELT)
def test_a_batch_is_lost_when_its_pulp_was_frozen_for_six_hours(crop: str, way: str) -> None:
    says = season_says(crop, FROZEN[way], feel_counts=FELT[crop])
    course = course_of(FROZEN[way], UNTIL_H)
    lost_h = ended_h(course, says.profile)
    assert lost_h == reached_h(course, frozen_h(course, says.profile), FROZEN_IN_H)
    assert lost_h < UNTIL_H
    assert supplied_h(says) == pytest.approx(lost_h, abs=A_TENTH_OF_A_DAY_H)
    closes_h = Says.hour_of(says.projection().closes_h)
    assert closes_h == pytest.approx(lost_h, abs=A_TENTH_OF_A_DAY_H)


@pytest.mark.parametrize("way", NOT_FROZEN)
@pytest.mark.parametrize("crop", FELT)
def test_a_batch_that_was_not_frozen_so_long_is_not_lost(crop: str, way: str) -> None:
    says = season_says(crop, NOT_FROZEN[way], feel_counts=FELT[crop])
    course = course_of(NOT_FROZEN[way], UNTIL_H)
    assert frozen_h(course, says.profile)[-1] < FROZEN_IN_H
    other_end_h = min(ended_h(course, says.profile), UNTIL_H)  # the avocado's chilling
    assert supplied_h(says) == pytest.approx(other_end_h, abs=A_TENTH_OF_A_DAY_H)

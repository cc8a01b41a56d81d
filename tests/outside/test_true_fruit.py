"""Every clock of an opened season against fruit whose pulp is followed through each move.

Fruit are spread evenly over the ages that the season takes them for, so nothing is left to chance;
steps of three minutes are good to a few minutes in any date. Dates may differ by a tenth of a day,
and shares that an allowance or a gate's need have come to by what it makes of a tenth of a day.
"""

from functools import cache
from itertools import product

import numpy as np
import pytest

from tests.draws import one_in
from tests.outside.drawn_fruit import evenly
from tests.outside.season_says import Says, season_says
from tests.outside.true_dates import A_TENTH_OF_A_DAY_H, TrueDates, dates_of
from tests.outside.true_fruit import follow_fruit, need_times
from tests.outside.true_pulp import (
    Course,
    Journey,
    chilling_used,
    course_of,
    ended_h,
    gate_met,
    reached_h,
)

FRUIT = 4000
DAYS = 80
UNTIL_H = 24.0 * DAYS

WARM_INTO_COLD = Journey(26.0, 8.0, ((0.0, 4.0),))
COLD_INTO_WARM = Journey(4.0, 8.0, ((0.0, 20.0),))
IN_AND_OUT = Journey(26.0, 8.0, ((0.0, 4.0), (48.0, 20.0), (96.0, 4.0), (240.0, 20.0)))
AT_ONCE = Journey(4.0, 0.1, IN_AND_OUT.stays)
"""Pulp as warm as its air: what is right here and wrong elsewhere is wrong for the pulp's lag."""
OUT_LATE = Journey(26.0, 8.0, ((0.0, 4.0), (65.0 * 24.0, 20.0)))
"""Late enough for the gate to open at the high end of its range too."""
EVERY_HOUR = Journey(
    20.0, 8.0, tuple((float(hour), 20.0 if hour % 2 else 4.0) for hour in range(48))
)
JOURNEYS = {
    "warm into cold": WARM_INTO_COLD,
    "cold into warm": COLD_INTO_WARM,
    "in and out": IN_AND_OUT,
    "at once": AT_ONCE,
    "out late": OUT_LATE,
    "every hour": EVERY_HOUR,
}
FELT = {
    "pawpaw": (0, 0, 20, 0, 0),
    "avocado": (20, 0, 0, 0, 0),
    "peach": (0, 20, 0, 0, 0),
    "tomato": (0, 0, 20, 0, 0),
    "mango": (0, 20, 0, 0, 0),
    "pear": (20, 0, 0, 0, 0),
    "anjou": (0, 20, 0, 0, 0),
    "kiwifruit": (20, 0, 0, 0, 0),
    "persimmon": (20, 0, 0, 0, 0),
}


@cache
def said(crop: str, way: str) -> Says:
    return season_says(crop, JOURNEYS[way], feel_counts=FELT[crop])


@cache
def course(way: str) -> Course:
    return course_of(JOURNEYS[way], UNTIL_H)


@cache
def truth(crop: str, way: str) -> TrueDates:
    says = said(crop, way)
    fates = follow_fruit(says.profile, evenly(says.profile, says.ages, FRUIT), course(way))
    return dates_of(fates, ended_h(course(way), says.profile), UNTIL_H)


DATED = [
    (crop, way)
    for way in ("warm into cold", "cold into warm", "in and out", "at once")
    for crop in ("pawpaw", "avocado", "peach", "tomato", "mango", "pear")
] + [("anjou", "out late"), ("kiwifruit", "out late")]

MOVED = ("warm into cold", "cold into warm", "in and out", "at once")
INTO_THE_COLD = ("warm into cold", "in and out", "at once", "out late")
INJURED = ("pawpaw", "avocado", "peach", "tomato", "mango", "persimmon")
GATED = ("anjou", "kiwifruit", "pear")
ENDED = ("pawpaw", "avocado", "pear", "kiwifruit", "anjou")


@pytest.mark.parametrize(("crop", "way"), one_in(5, DATED))
def test_the_closing_date_is_that_of_the_pulp(crop: str, way: str) -> None:
    says = said(crop, way)
    true, best_h = truth(crop, way), Says.hour_of(says.projection().best_h)
    closes_h = Says.hour_of(says.projection().closes_h)
    assert closes_h == pytest.approx(true.closes_h(best_h), abs=A_TENTH_OF_A_DAY_H)


@pytest.mark.parametrize(("crop", "way"), one_in(5, DATED))
def test_the_ready_share_of_each_day_is_that_of_the_pulp(crop: str, way: str) -> None:
    says, hours = said(crop, way), np.arange(0.0, UNTIL_H, 12.0)
    fruit = evenly(says.profile, says.ages, FRUIT)
    true = follow_fruit(says.profile, fruit, course(way)).ready_and_past(hours)[0]
    # A gate that opens by and by does so in parts.
    gradual = says.profile.gate is not None and says.profile.gate.width is not None
    within = 0.03 if gradual else 0.02
    assert says.as_estimated(hours)[0] == pytest.approx(true, abs=within)


@pytest.mark.parametrize(("crop", "way"), one_in(5, list(product(INJURED, MOVED))))
def test_the_chilling_allowance_is_used_by_the_pulp(crop: str, way: str) -> None:
    assert_chilling(crop, way, np.arange(0.0, 241.0, 24.0))


@pytest.mark.parametrize("crop", one_in(3, INJURED))
def test_a_crate_moved_every_hour_uses_the_allowance_of_its_pulp(crop: str) -> None:
    assert_chilling(crop, "every hour", np.arange(0.0, 97.0, 6.0))


def assert_chilling(crop: str, way: str, hours: np.ndarray) -> None:
    says = said(crop, way)
    true = chilling_used(course(way), says.profile)
    assert says.profile.chilling is not None
    longest = max(at.days.value for at in says.profile.chilling.allowance)
    assert says.chilling_used(hours) == pytest.approx(
        np.interp(hours, course(way).hours, true), abs=0.1 / longest
    )


@pytest.mark.parametrize(("crop", "way"), one_in(5, list(product(GATED, INTO_THE_COLD))))
def test_a_gate_opens_by_the_pulp(crop: str, way: str) -> None:
    says = said(crop, way)
    times = need_times(says.profile, says.ages.mean)
    opens_h = reached_h(course(way), gate_met(course(way), says.profile), times)
    said_h = Says.hour_of_column(says.projection().gate_opens_h)
    assert said_h == pytest.approx(opens_h, abs=A_TENTH_OF_A_DAY_H)


@pytest.mark.parametrize(("crop", "way"), one_in(5, list(product(GATED, MOVED))))
def test_so_much_of_a_gates_need_is_met_as_the_pulp_was_cold(crop: str, way: str) -> None:
    says, hours = said(crop, way), [6.0, 24.0, 72.0, 144.0, 288.0]
    assert says.profile.gate is not None
    longest = max(at.days.value for at in says.profile.gate.needs)
    true = np.interp(hours, course(way).hours, gate_met(course(way), says.profile))
    done = [float(says.projection(hour).gate_done[0]) for hour in hours]
    times = need_times(says.profile, says.ages.mean)
    assert done == pytest.approx(np.minimum(true / times, 1.0), abs=0.1 / (longest * times))


@pytest.mark.parametrize(("crop", "way"), one_in(5, list(product(ENDED, INTO_THE_COLD))))
def test_fruit_is_in_supply_for_as_long_as_its_pulp_lets_it_keep(crop: str, way: str) -> None:
    """Chilling or storage life, whichever comes first; to the end where neither does."""
    says, hours = said(crop, way), np.arange(0.0, UNTIL_H, 0.25)
    true_h = min(ended_h(course(way), says.profile), UNTIL_H)
    supplied_h = 0.25 * float(says.in_supply(hours).sum())
    assert supplied_h == pytest.approx(true_h, abs=A_TENTH_OF_A_DAY_H)

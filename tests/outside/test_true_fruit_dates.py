"""Dates of a season against fruit that are spread evenly and followed, if all estimates hold.

Nothing is left to chance, so opening and closing may differ by a tenth of a day; the best day may
lie anywhere the ready share is within 0.02 of its peak.
"""

from dataclasses import dataclass
from functools import cache
from math import isnan, nan

import pytest

from tests.draws import one_in
from tests.outside.drawn_fruit import evenly
from tests.outside.season_says import Says, season_says
from tests.outside.true_dates import A_TENTH_OF_A_DAY_H, TrueDates, dates_of
from tests.outside.true_fruit import follow_fruit
from tests.outside.true_pulp import Journey, course_of, ended_h

FRUIT = 4_000
UNTIL_H = 24.0 * 58.0
NEARLY_BEST = 0.02

UNEVEN_N = {
    "pawpaw": (46.0, 44.0, 40.0, 30.0, 20.0, 12.0, 8.0, 6.0),
    "peach": (62.0, 60.0, 55.0, 45.0, 32.0, 22.0, 15.0, 11.0),
    "avocado": (205.0, 200.0, 180.0, 120.0, 60.0, 30.0, 12.0, 8.0),
}
EVEN = {
    "pawpaw": (0, 0, 20, 0, 0),
    "peach": (0, 20, 0, 0, 0),
    "avocado": (20, 0, 0, 0, 0),
    "tomato": (0, 20, 0, 0, 0),
    "mango": (0, 20, 0, 0, 0),
    "persimmon": (20, 0, 0, 0, 0),
}


def steady(celsius: float) -> Journey:
    """Pulp at the air's temperature from the pick on."""
    return Journey(celsius, 0.1, ((0.0, celsius),))


def moved(first_c: float, days: float, then_c: float) -> Journey:
    """From one temperature to another, the pulp following in half-cooling times of four hours."""
    return Journey(first_c, 4.0, ((0.0, first_c), (24.0 * days, then_c)))


JOURNEYS = {
    "20 C": steady(20.0),
    "12 C": steady(12.0),
    "6 C": steady(6.0),
    "12 C, 20 C after 5 days": moved(12.0, 5.0, 20.0),
    "20 C, 6 C after 3 days": moved(20.0, 3.0, 6.0),
    "20 C, 12 C after 1 day": moved(20.0, 1.0, 12.0),
}
CASES = [
    (crop, kind, way)
    for way in JOURNEYS
    for kind, crops in (("even", EVEN), ("uneven", UNEVEN_N))
    for crop in crops
]


@dataclass(frozen=True, slots=True)
class Dates:
    """What the season says, in hours since the pick, beside what is true."""

    opens_h: float
    best_h: float
    closes_h: float
    true: TrueDates


@cache
def dates(crop: str, kind: str, way: str) -> Dates:
    journey = JOURNEYS[way]
    if kind == "even":
        says = season_says(crop, journey, feel_counts=EVEN[crop])
    else:
        says = season_says(crop, journey, readings_n=UNEVEN_N[crop])
    course = course_of(journey, UNTIL_H)
    fates = follow_fruit(says.profile, evenly(says.profile, says.ages, FRUIT), course)
    true = dates_of(fates, ended_h(course, says.profile), UNTIL_H)
    said = says.projection()
    return Dates(
        Says.hour_of(said.opens_h), Says.hour_of(said.best_h), Says.hour_of(said.closes_h), true
    )


@pytest.mark.parametrize(("crop", "kind", "way"), one_in(5, CASES))
def test_it_opens_when_half_of_the_fruit_is_ready(crop: str, kind: str, way: str) -> None:
    """Or on the best day, as the season has it, if that is sooner."""
    found = dates(crop, kind, way)
    true_h = min(found.true.half_ready_h, found.best_h) if found.true.opens else nan
    assert found.opens_h == pytest.approx(true_h, abs=A_TENTH_OF_A_DAY_H, nan_ok=True)


@pytest.mark.parametrize(("crop", "kind", "way"), one_in(5, CASES))
def test_the_best_day_has_the_most_ready_fruit(crop: str, kind: str, way: str) -> None:
    found = dates(crop, kind, way)
    if not found.true.opens:
        assert isnan(found.best_h)
        return
    peak = found.true.ready_at(found.true.best_h)
    assert found.true.ready_at(found.best_h) >= peak - NEARLY_BEST


@pytest.mark.parametrize(("crop", "kind", "way"), one_in(5, CASES))
def test_it_closes_when_a_fifth_is_past_but_not_before_the_best_day(
    crop: str, kind: str, way: str
) -> None:
    """The best day is taken as the season has it: another test holds that to the truth."""
    found = dates(crop, kind, way)
    true_h = found.true.closes_h(found.best_h)
    assert found.closes_h == pytest.approx(true_h, abs=A_TENTH_OF_A_DAY_H)


@pytest.mark.parametrize(("crop", "kind", "way"), one_in(5, CASES))
def test_the_best_day_is_never_outside_the_window(crop: str, kind: str, way: str) -> None:
    found = dates(crop, kind, way)
    if not isnan(found.opens_h):
        assert found.opens_h <= found.best_h <= found.closes_h

"""Heat of spring and harvest, days from bloom, and how long a tree ripens, as published."""

from pathlib import Path

import numpy as np
import pytest

from ripenroom.science.orchard.heat import RED_HAVEN, HarvestLine, degree_days
from ripenroom.science.spread import TAIL_80
from ripenroom.season.orchard.priors import (
    BASE_C,
    HEAT_PER_DAY,
    SPREAD_DAYS,
    needs_of,
)

SEATTLE = Path(__file__).parent / "weather" / "seattle_c.csv"


def test_red_haven_of_2006() -> None:
    """Michigan State University Extension, Predicting Red Haven harvest date: 524 F degree days
    from 1 January to 3 June are day 214.3, 2 August."""
    of_2006 = HarvestLine(236.78, 0.0428 * 1.8, 10.0, (6, 3))
    assert float(of_2006.first_day(524.0 / 1.8)) == pytest.approx(214.3, abs=0.1)


def test_red_haven_of_2010_and_2011() -> None:
    """The line of 2010 foretold 28 July, day 209, five days before the mean of 3 August, day 215,
    and in 2011 4 August, day 216: one degree day (F) is 0.0386 days."""
    early, mean, late = 209.0, 215.0, 216.0
    heat_f = (234.9 - np.array([early, mean, late])) / 0.0386
    assert RED_HAVEN.first_day(heat_f / 1.8) == pytest.approx([early, mean, late])
    assert 450.0 < heat_f[1] < 560.0


def test_degree_days_of_open_daily_temperatures() -> None:
    """Four years in Seattle: what a sine adds to the plain average is all from days whose night is
    below the threshold, and monthly sums rise and fall with the year."""
    table = np.genfromtxt(SEATTLE, delimiter=",", comments="#", skip_header=4)
    low, high = table.T
    sine, average = degree_days(low, high, BASE_C), np.maximum((low + high) / 2.0 - BASE_C, 0.0)
    above = low >= BASE_C
    assert np.abs((sine - average)[above]).max() < 1e-9
    assert (sine >= average - 1e-9).all()
    years = [slice(0, 366), slice(366, 731), slice(731, 1096), slice(1096, 1461)]
    # Olympia, 80 km off and cooler, has 1,595 F a year over 50 F in the mean of 1948 to 2012
    # (Western Regional Climate Center); these years were warm ones, in a city.
    sums_f = [1.8 * float(average[year].sum()) for year in years]
    assert 1_595.0 < min(sums_f) < max(sums_f) < 1.9 * 1_595.0
    # 2015 was the hottest of them, by the National Weather Service (from memory).
    assert np.argmax(sums_f) == 3


def test_a_tree_ripens_all_its_fruit_in_two_weeks() -> None:
    """Archbold, Koslanund & Pomper 2003: fruit of one pawpaw tree ripen over two weeks; from the
    fortieth to the last but fortieth fruit of a Normal."""
    two_weeks = 2.0 * 1.96 * SPREAD_DAYS
    assert two_weeks == pytest.approx(14.0, abs=0.5)


@pytest.mark.parametrize(
    ("crop", "first", "last"), [("pear", 110, 133), ("anjou", 120, 150), ("bosc", 130, 145)]
)
def test_days_from_bloom_of_pears(crop: str, first: int, last: int) -> None:
    """Bartlett, Anjou and Bosc: Washington State University and Penn State Extension."""
    needs = needs_of(crop)
    low, high = (needs.days + side * TAIL_80 * needs.days_sd for side in (-1.0, 1.0))
    assert (low, high) == pytest.approx((first, last), abs=1.0)


def test_heat_that_pawpaws_need() -> None:
    """2,300 F degree days over 50 F ripen the earliest kinds and 2,900 every kind (J. H. Gordon,
    NAFEX list 2004); most need over 2,400 from 1 May (growers' compilation of Kentucky State
    University trials). Bloom is some weeks before or after 1 May."""
    needs = needs_of("pawpaw")
    low, high = (
        (needs.heat_days + side * TAIL_80 * needs.heat_sd) * HEAT_PER_DAY * 1.8
        for side in (-1.0, 1.0)
    )
    assert low < 2_400.0 < 2_900.0 < high
    assert 100.0 < needs.days - 2 * needs.days_sd < 120.0 < 160.0 < needs.days + 2 * needs.days_sd

"""First frosts against published levels, and two typed dates against the frosts that came."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from ripenroom.science.orchard.first_frost import (
    HARD_C,
    LIGHT_C,
    FirstFrost,
    first_frost_chances,
    from_first_days,
    from_two_days,
)
from ripenroom.science.softening import Floats

LOWS = Path(__file__).parent / "weather" / "clemson_autumn_lows_f.csv"

FIVE = ([0.1, 0.33, 0.5, 0.67, 0.9], ["10-02", "10-11", "10-16", "10-21", "10-30"])
"""32 F at Georgetown, Delaware (W. J. Moyer, ESSA Weather, University of Maryland 1970;
www.rec.udel.edu/misc/Frost%20dates.htm)."""

NINE = (
    [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9],
    ["10-14", "10-20", "10-25", "10-29", "11-01", "11-05", "11-08", "11-13", "11-19"],
)
"""32 F at McColl, South Carolina (climatic normals as given by victoryseeds.com)."""

NINE_LIGHT = (
    [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9],
    ["10-10", "10-15", "10-19", "10-22", "10-25", "10-28", "10-31", "11-03", "11-09"],
)
"""36 F at the same place."""

COLDER = (
    [0.1, 0.33, 0.5, 0.67, 0.9],
    ["11-01", "11-09", "11-14", "11-19", "11-27"],
)
"""24 F at Georgetown, Delaware."""


def day(text: str) -> float:
    """Day of a common year."""
    return float(date.fromisoformat(f"2026-{text}").timetuple().tm_yday)


@pytest.mark.parametrize("table", [FIVE, NINE, NINE_LIGHT, COLDER])
def test_two_dates_of_a_published_table_give_its_other_levels(
    table: tuple[list[float], list[str]],
) -> None:
    chances, texts = table
    days = [day(text) for text in texts]
    frost = from_two_days(days[chances.index(0.5)], days[0])
    assert np.abs(frost.level(chances) - days).max() <= 2.0


def first_days(at_c: float) -> Floats:
    """The first day as cold of each autumn 1930-2020 at Clemson, in days from 1 September; of the
    year's 122 days, so that a frost in a new year is none."""
    lows_f = np.genfromtxt(LOWS, delimiter=",", comments="#")[:, 1:]
    cold = (np.nan_to_num(lows_f, nan=99.0) - 32.0) / 1.8 <= at_c + 0.3
    return np.where(cold.any(axis=1), cold.argmax(axis=1), np.nan)


@pytest.mark.parametrize("at_c", [LIGHT_C, HARD_C])
def test_two_dates_and_the_frosts_that_came_season_by_season(at_c: float) -> None:
    """Even odds and one in ten of the 30 autumns before each tell of the next as often as they
    say: 61 autumns, so that a level may be off by three sds of as many tosses."""
    days = first_days(at_c)
    assert np.isfinite(days).all()
    chances = np.array([0.1, 0.25, 0.5, 0.75, 0.9])
    came = []
    for year in range(30, days.size):
        even, tenth = np.quantile(days[year - 30 : year], [0.5, 0.1])
        came.append(days[year] <= from_two_days(even, tenth).level(chances))
    off = np.abs(np.mean(came, axis=0) - chances)
    assert (off <= 3.0 * np.sqrt(chances * (1.0 - chances) / len(came))).all()


def test_a_few_typed_frosts_hold_the_next_one() -> None:
    """The last five first frosts of a grower: the tenth and ninetieth levels hold the next one in
    about four autumns of five."""
    days = first_days(LIGHT_C)
    held = []
    for year in range(5, days.size):
        low, high = from_first_days(days[year - 5 : year]).level([0.1, 0.9])
        held.append(low <= days[year] <= high)
    assert 0.7 <= np.mean(held) <= 0.9


def test_chances_night_by_night_are_those_of_the_nights_that_froze() -> None:
    """The chance of each night given none before it, summed over all nights until the frost came,
    is the number of frosts: in the mean over 91 autumns within a fifth."""
    days = first_days(LIGHT_C)
    frost = FirstFrost(float(days.mean()), float(days.std()))
    every = np.arange(122.0)
    hazard = frost.hazard(every)
    expected = sum(hazard[: int(first) + 1].sum() for first in days)
    assert expected == pytest.approx(days.size, rel=0.2)
    assert first_frost_chances(hazard).sum() == pytest.approx(1.0, abs=0.01)

"""What the warmth of days adds up to for trees, and when bloom and harvest follow from it.

Degree days: a day is drawn as a sine between its lowest and highest temperature; degree days are
the mean height of that wave above the lower threshold, cut off level at the upper one (Baskerville
& Emin 1969, Ecology 50:514-517; formulas by cases in Zalom et al. 1983, University of California
leaflet 21373; the integrals below are the same in one piece). Citations from memory; the values are
checked against the University of California's own (``tests/science/orchard/test_heat.py``).

Growing degree hours, which peach growers use: growth begins at 4 C, is fastest at 25 C and over at
36 C, along half a cosine up and a quarter of one down; an hour at the best temperature counts 21
(Anderson, Richardson & Kesner 1986, Acta Horticulturae 184:71-78; the formula from a published copy
of it). The sum over the 30 days after full bloom tells how long a stone fruit takes to harvest;
much above 6,000 harvest is early and fruit small (Lopez & DeJong 2007; University of California,
Fruit & Nut Research and Information).
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike


def degree_days(
    lowest_c: FloatsLike, highest_c: FloatsLike, lower_c: FloatsLike, upper_c: FloatsLike = np.inf
) -> Floats:
    """Degree days (C) of each day, never below 0; all arguments broadcast.

    ``lower_c`` and ``upper_c`` are the thresholds. Raises ``ValueError`` where a day's lowest is
    above its highest, or thresholds are crossed; nan stays nan.

    >>> float(degree_days(10.0, 20.0, 10.0))
    5.0
    """
    low, high = np.asarray(lowest_c, float), np.asarray(highest_c, float)
    lower, upper = np.asarray(lower_c, float), np.asarray(upper_c, float)
    if (low > high).any():
        raise ValueError("a day's lowest temperature is above its highest")
    if (lower >= upper).any():
        raise ValueError("the lower threshold is not below the upper one")
    return _above(low, high, lower) - _above(low, high, upper)


def _above(low: Floats, high: Floats, threshold: Floats) -> Floats:
    """Mean height of a day's wave above a threshold (C)."""
    mean, half = (low + high) / 2.0, (high - low) / 2.0
    # Where in its range the threshold lies: -1 at the lowest temperature or below it, 1 at the
    # highest or above it.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        within = np.where(half > 0.0, (threshold - mean) / half, np.sign(threshold - mean))
    angle = np.arcsin(np.clip(within, -1.0, 1.0))
    share = 0.5 - angle / np.pi
    # Of an endless threshold nothing is above it.
    over = np.where(share > 0.0, mean - np.where(share > 0.0, threshold, 0.0), 0.0)
    return np.asarray(np.maximum(over * share + half * np.cos(angle) / np.pi, 0.0))


_NO_GROWTH_C: Final = 4.0
_FASTEST_C: Final = 25.0
_TOO_HOT_C: Final = 36.0

DAYS_AFTER_BLOOM: Final = 30
"""Days after full bloom whose growing degree hours foretell the harvest."""

MANY_HOURS: Final = 6000.0
"""Growing degree hours in these days above which harvest is early and fruit small."""

_PHASES = (np.arange(24) + 0.5) * (2.0 * np.pi / 24.0)


def growing_degree_hours(temperature_c: FloatsLike) -> Floats:
    """What one hour at this temperature (C) counts; the argument's shape.

    >>> round(float(growing_degree_hours(25.0)), 9)
    21.0
    """
    warm = np.asarray(temperature_c, float)
    most = _FASTEST_C - _NO_GROWTH_C
    rising = 0.5 * most * (1.0 + np.cos(np.pi * (1.0 + (warm - _NO_GROWTH_C) / most)))
    part = (warm - _FASTEST_C) / (_TOO_HOT_C - _FASTEST_C)
    falling = most * (1.0 + np.cos(0.5 * np.pi * (1.0 + part)))
    hours = np.where(warm <= _FASTEST_C, rising, falling)
    return np.where((warm <= _NO_GROWTH_C) | (warm >= _TOO_HOT_C), 0.0, hours)


def growing_degree_hours_of_days(lowest_c: FloatsLike, highest_c: FloatsLike) -> Floats:
    """What a day between these temperatures (C) counts, if they are the ends of a sine wave."""
    low = np.asarray(lowest_c, float)[..., None]
    high = np.asarray(highest_c, float)[..., None]
    hourly_c = (low + high) / 2.0 + (high - low) / 2.0 * np.sin(_PHASES)
    return np.asarray(growing_degree_hours(hourly_c).sum(axis=-1))


_NEAR_K = 0.01
_TRIES = 200


def daily_from_monthly(means_c: FloatsLike, year: int) -> Floats:
    """A smooth temperature (C) for each day of a year whose months have these twelve means.

    A curve through the months' middles whose own monthly means are the ones given, by correcting it
    until they agree within a hundredth of a degree. Days of a month whose mean is nan are nan; all
    of them are if every month is.
    """
    means = np.asarray(means_c, float)
    first, after = date(year, 1, 1), date(year + 1, 1, 1)
    days = (after - first).days
    month = np.array([(first + timedelta(days=n)).month - 1 for n in range(days)])
    known = np.flatnonzero(np.isfinite(means))
    if not known.size:
        return np.full(days, np.nan)
    lengths = np.bincount(month)
    middles = (np.cumsum(lengths) - lengths / 2.0)[known]
    at = np.arange(days) + 0.5
    knots = means[known]
    for _ in range(_TRIES):
        curve = np.interp(at, middles, knots, period=float(days))
        off = means[known] - (np.bincount(month, curve) / lengths)[known]
        if np.abs(off).max() < _NEAR_K:
            break
        knots = knots + off
    return np.where(np.isin(month, known), curve, np.nan)


_SMOOTHED_DAYS = 15
_KNOWN_PART = 0.8


def warm_from(mean_c: FloatsLike, threshold_c: float) -> float:
    """The first day (number in ``mean_c``) of the warm part of a year: its days, smoothed over two
    weeks, are at ``threshold_c`` or above from then until the warmest of them.

    ``mean_c`` (days,) are mean temperatures (C), nan where not known. nan where no day before the
    warmest is colder, or most days about the one that was found are not known.
    """
    mean = np.asarray(mean_c, float)
    known = np.isfinite(mean)
    if not known.any():
        return float("nan")
    filled = np.interp(np.arange(mean.size), np.flatnonzero(known), mean[known])
    window = np.ones(_SMOOTHED_DAYS)
    smooth = np.convolve(filled, window, "same") / np.convolve(np.ones(mean.size), window, "same")
    cold = np.flatnonzero(smooth[: int(smooth.argmax())] < threshold_c)
    if not cold.size:
        return float("nan")
    found = int(cold[-1]) + 1
    about: Floats = known[max(found - _SMOOTHED_DAYS // 2, 0) : found + _SMOOTHED_DAYS // 2 + 1]
    return float(found) if about.mean() >= _KNOWN_PART else float("nan")


_F_PER_C: Final = 1.8


@dataclass(frozen=True, slots=True)
class HarvestLine:
    """Harvest begins on the day of the year ``at_no_heat``, ``earlier_per_degree_day`` days sooner
    for each degree day (C) above ``base_c`` from 1 January to ``until`` (month, day)."""

    at_no_heat: float
    earlier_per_degree_day: float
    base_c: float
    until: tuple[int, int]

    def first_day(self, degree_days: FloatsLike) -> Floats:
        """Day of the year, 1 being 1 January, with its fraction."""
        heat = np.asarray(degree_days, float)
        return np.asarray(self.at_no_heat - self.earlier_per_degree_day * heat)


RED_HAVEN: Final = HarvestLine(234.9, 0.0386 * _F_PER_C, 10.0, (6, 3))
"""Peach, Berrien County, records from 1995 on; observed often 3 to 5 days off it (Michigan State
University Extension, 2010 Redhaven peach harvest date prediction)."""

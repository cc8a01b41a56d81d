"""Daily temperatures from monthly means, for days that no thermometer covered."""

from datetime import date, timedelta

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike


def daily_from_monthly(means_c: FloatsLike, year: int) -> Floats:
    """A smooth temperature (C) for each day of a year whose months have these twelve means.

    A periodic curve through the months' middles whose own monthly means are the ones given, by
    correcting it until they agree within a hundredth of a degree.
    """
    means = np.asarray(means_c, float)
    first, after = date(year, 1, 1), date(year + 1, 1, 1)
    days = (after - first).days
    month = np.array([(first + timedelta(days=n)).month - 1 for n in range(days)])
    lengths = np.bincount(month)
    middles = np.cumsum(lengths) - lengths / 2.0
    at = np.arange(days) + 0.5
    knots = means.copy()
    for _ in range(100):
        curve = np.interp(at, middles, knots, period=float(days))
        off = means - np.bincount(month, curve) / lengths
        if np.abs(off).max() < 0.01:
            break
        knots += off
    return np.asarray(curve)

"""Daily temperatures from monthly means, for days that no thermometer covered."""

from datetime import date, timedelta

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike

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

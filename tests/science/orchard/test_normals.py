"""Days between monthly means."""

import numpy as np

from ripenroom.science.orchard.normals import daily_from_monthly

MEANS = [2.0, 4.0, 8.0, 13.0, 18.0, 22.0, 25.0, 24.0, 20.0, 14.0, 8.0, 3.0]


def test_months_keep_their_means_and_the_year_closes() -> None:
    days = daily_from_monthly(MEANS, 2026)
    ends = np.cumsum([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    found = [month.mean() for month in np.split(days, ends[:-1])]
    assert np.abs(np.array(found) - MEANS).max() < 0.01
    assert np.abs(np.diff(np.append(days, days[0]))).max() < 0.5


def test_a_leap_year_has_its_day_and_unknown_months_stay_unknown() -> None:
    some = [np.nan] * 3 + MEANS[3:11] + [np.nan]
    days = daily_from_monthly(some, 2028)
    assert days.size == 366
    assert np.isnan(days[:91]).all()
    assert np.isfinite(days[91:335]).all()
    assert np.isnan(days[335:]).all()
    assert np.isnan(daily_from_monthly([np.nan] * 12, 2027)).all()

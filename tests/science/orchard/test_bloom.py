"""The warm part of a year, found in its mean temperatures."""

import numpy as np
import pytest

from ripenroom.science.orchard.bloom import warm_from


def year(
    mean_c: float = 11.0, half_k: float = 11.0
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """A year that is coldest on day 20 and warmest half a year later."""
    return np.asarray(mean_c - half_k * np.cos(2.0 * np.pi * (np.arange(330) - 20.0) / 365.0))


def test_it_begins_where_the_curve_passes_the_threshold() -> None:
    # 11 C is passed a quarter of a year after the coldest day.
    assert warm_from(year(), 11.0) == pytest.approx(20.0 + 365.0 / 4.0, abs=1.0)
    # arccos((11 - 14) / 11) of a year of 2 pi after it.
    assert warm_from(year(), 14.0) == pytest.approx(20.0 + 365.0 * 1.847 / (2 * np.pi), abs=1.0)


def test_a_warm_week_in_winter_is_no_spring() -> None:
    warm = year()
    warm[40:47] = 16.0
    assert warm_from(warm, 14.0) == warm_from(year(), 14.0)


def test_what_cannot_be_told_is_nan() -> None:
    assert np.isnan(warm_from(np.full(330, np.nan), 14.0))
    assert np.isnan(warm_from(year() + 30.0, 14.0))
    gap = year()
    gap[115:140] = np.nan
    assert np.isnan(warm_from(gap, 14.0))
    gap[130:140] = year()[130:140]
    later = year()
    later[:60] = np.nan
    assert warm_from(later, 14.0) == warm_from(year(), 14.0)

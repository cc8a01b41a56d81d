"""Shares of fruit that are ready and past: by hand, in their limits, and whatever the crop."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr

from ripenroom.science.ready import ready_and_past, ready_range
from ripenroom.science.softening import Floats
from tests.science.batches import PAWPAW, Crop, case
from tests.science.test_eat_by import AIRS, REFERENCE, crops, dates_of


def test_shares_at_those_dates_are_what_the_dates_are_named_for() -> None:
    one = case(PAWPAW.but(doubt_sd=0.0, rate_sd=0.0, slope_sd=0.0, ripens=1.0), AIRS, [[(0.0, 0)]])
    window = one.eat_by()
    hours = np.array([[dates.mid[0] for dates in dates_of(window)]])
    advance = one.batches.rate_per_day[:, None] * one.ageing.at(hours)
    ready, past = ready_and_past(advance, one.batches, np.zeros(1))
    beyond_ready = (ready + past)[0]
    assert beyond_ready[:2].tolist() == pytest.approx([0.1, 0.5], abs=1e-3)
    assert past[0, 3] == pytest.approx(0.2, abs=1e-3)
    around = one.batches.rate_per_day[:, None] * one.ageing.at(hours[:, 2:3] + [[-6.0, 0.0, 6.0]])
    before, best, after = ready_and_past(around, one.batches, np.zeros(1))[0][0]
    assert best > max(before, after)


def shares(crop: Crop, hours: Floats, ripe_advance: Floats | None = None) -> tuple[Floats, Floats]:
    one = case(crop, AIRS, [[(0.0, REFERENCE)]])
    advance = crop.rate_per_day * one.ageing.at(hours[None, :])
    return ready_and_past(advance, one.batches, one.eat_by().way.rate_sd, ripe_advance)


@given(crop=crops, ripe_advance=st.one_of(st.none(), st.floats(0.0, 5.0)))
def test_ready_and_past_and_what_will_not_ripen_are_never_more_than_all(
    crop: Crop, ripe_advance: float | None
) -> None:
    hours = np.arange(0.0, 600.0, 12.0)
    lived = None if ripe_advance is None else np.full((1, hours.size), ripe_advance)
    ready, past = shares(crop, hours, lived)
    assert (ready >= -1e-12).all()
    assert (past >= 0.0).all()
    assert (ready + past + (1.0 - crop.ripens) <= 1.0 + 1e-12).all()


def test_shares_count_the_doubt_by_hand() -> None:
    crop = PAWPAW.but(rate_sd=0.0, slope_sd=0.0)
    ready, past = shares(crop, np.array([72.0]))
    age, sd = -0.2 + 0.8 * 3.0, np.hypot(0.6, 0.5)
    beyond_ready, beyond_soft = (float(ndtr((age - mark) / sd)) for mark in (1.7, 3.6))
    assert ready[0, 0] == pytest.approx(0.9 * (beyond_ready - beyond_soft), abs=1e-6)
    assert past[0, 0] == pytest.approx(0.9 * beyond_soft, abs=1e-6)


def test_past_never_falls() -> None:
    past = shares(PAWPAW, np.arange(0.0, 900.0, 6.0))[1][0]
    assert (np.diff(past) >= -1e-12).all()
    assert past[-1] == pytest.approx(0.9, abs=1e-3)


def test_fruit_whose_ripe_life_is_over_is_past() -> None:
    hours = np.array([96.0])
    ready, past = shares(PAWPAW, hours)
    ready_too, past_too = shares(PAWPAW, hours, np.array([[0.5]]))
    assert past_too > past
    assert ready_too + past_too == pytest.approx(ready + past)
    # A life longer than softening takes changes nothing.
    assert shares(PAWPAW, hours, np.array([[9.0]]))[1] == past


@given(crop=crops)
def test_the_range_of_a_share_is_ordered_and_holds_the_certain_share(crop: Crop) -> None:
    one = case(crop, AIRS, [[(0.0, REFERENCE)]])
    advance = np.linspace(0.0, 8.0, 17)[None, :]
    rate_sd = np.array([crop.rate_sd])
    low, mid, high = ready_range(advance, one.batches, rate_sd)
    assert (low >= 0.0).all()
    assert (low <= mid).all()
    assert (mid <= high).all()
    assert (high <= crop.ripens + 1e-12).all()
    sure = replace(one.batches, doubt_sd=np.zeros(1))
    low, mid, high = ready_range(advance, sure, np.zeros(1))
    ready = ready_and_past(advance, sure, np.zeros(1))[0]
    np.testing.assert_allclose([low, mid, high], [ready] * 3, atol=1e-4)

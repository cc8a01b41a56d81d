"""Shares of fruit that are ready and past: by hand, in their limits, and whatever the crop."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr

from ripenroom.science.ages import Bands
from ripenroom.science.ready import expected_shares, ready_range, shares_as_estimated
from ripenroom.science.softening import Floats
from tests.draws import first_every_day
from tests.science.batches import PAWPAW, Crop, case, gained_at
from tests.science.test_eat_by_dates import AIRS, REFERENCE, crops, dates_of


def test_shares_at_those_dates_are_what_the_dates_are_named_for() -> None:
    one = case(PAWPAW.but(ripens=1.0), AIRS, [[(0.0, 0)]])
    window, gaining = one.eat_by(), one.gaining()
    hours = np.array([[dates.mid[0] for dates in dates_of(window)]])
    ready, past = shares_as_estimated(one.batches, gaining.at(hours))
    beyond_ready = (ready + past)[0]
    assert beyond_ready[:2].tolist() == pytest.approx([0.1, 0.5], abs=1e-3)
    assert past[0, 3] == pytest.approx(0.2, abs=1e-3)
    around = gaining.at(hours[:, 2:3] + [[-6.0, 0.0, 6.0]])
    before, best, after = shares_as_estimated(one.batches, around)[0][0]
    assert best > max(before, after)


def shares(crop: Crop, hours: Floats, ripe_ago: float | None = None) -> tuple[Floats, Floats]:
    """Expected shares at 20 C; ``ripe_ago`` is by how much younger fruit was one ripe life ago."""
    one = case(crop, AIRS, [[(0.0, REFERENCE)]])
    advance = crop.rate_per_day * one.ageing.at(hours[None, :])
    ago = () if ripe_ago is None else (advance - ripe_ago,) * 3
    return expected_shares(one.batches, gained_at(advance, one.way().rate_sd[:, None], ago))


@given(crop=crops, ripe_ago=st.one_of(st.none(), st.floats(0.0, 5.0)))
def test_ready_and_past_and_what_will_not_ripen_are_never_more_than_all(
    crop: Crop, ripe_ago: float | None
) -> None:
    ready, past = shares(crop, np.arange(0.0, 600.0, 12.0), ripe_ago)
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
    ready_too, past_too = shares(PAWPAW, hours, 0.5)
    assert past_too > past
    assert ready_too + past_too == pytest.approx(ready + past)
    # A life longer than softening takes changes nothing.
    assert shares(PAWPAW, hours, 9.0)[1] == pytest.approx(past, abs=3e-4)


def test_fruit_of_two_bands_is_what_it_would_be_apart() -> None:
    """Four in ten young, six in ten old: shares add up, whatever else is in doubt."""
    hours = np.arange(0.0, 200.0, 12.0)
    together = PAWPAW.but(
        mean_age=-0.6,
        fruit_sd=1.0,
        bands=Bands.of_parts(
            np.array([[0.4, 0.6]]), np.array([[-1.2, 0.8]]), np.array([[0.3, 0.5]])
        ),
    )
    apart = [PAWPAW.but(mean_age=-1.8, fruit_sd=0.3), PAWPAW.but(mean_age=0.2, fruit_sd=0.5)]
    ready, past = shares(together, hours, 1.5)
    (young_ready, young_past), (old_ready, old_past) = (shares(c, hours, 1.5) for c in apart)
    np.testing.assert_allclose(ready, 0.4 * young_ready + 0.6 * old_ready, atol=1e-9)
    np.testing.assert_allclose(past, 0.4 * young_past + 0.6 * old_past, atol=1e-9)


@given(crop=crops)
def test_the_range_of_a_share_is_ordered_and_holds_the_certain_share(crop: Crop) -> None:
    one = case(crop, AIRS, [[(0.0, REFERENCE)]])
    advance = np.linspace(0.0, 8.0, 17)[None, :]
    gained = gained_at(advance, np.array([[crop.rate_sd]]))
    low, mid, high = ready_range(one.batches, gained)
    assert (low >= 0.0).all()
    assert (low <= mid).all()
    assert (mid <= high).all()
    assert (high <= crop.ripens + 1e-12).all()
    sure = replace(one.batches, doubt_sd=np.zeros(1))
    low, mid, high = ready_range(sure, gained_at(advance, np.zeros((1, 1))))
    ready = shares_as_estimated(sure, gained)[0]
    np.testing.assert_allclose([low, mid, high], [ready] * 3, atol=1e-4)


@pytest.mark.parametrize("one_of", first_every_day([5, 1]))
def test_the_range_of_a_share_is_in_order_to_the_last_digit(one_of: int) -> None:
    """Many cases, among them those where the three agree to the last digits; at the mean age 1.25
    and a fruit sd of 0.2265625 without doubt rounding once put the 50 % below the 10 %."""
    mean_age = np.concatenate([np.arange(-6.0, 8.0, 0.125)[::one_of], [1.25]])
    fruit_sd = np.append(np.geomspace(1e-3, 2.0, 29), 0.2265625)
    doubt_sd = np.concatenate([[0.0], np.geomspace(1e-12, 3.0, 39)])
    one = case(PAWPAW.but(ready_age=0.5, too_soft_age=2.0, ripens=1.0), AIRS, [[(0.0, REFERENCE)]])
    every = np.meshgrid(mean_age, fruit_sd, doubt_sd, indexing="ij")
    mean, fruit, doubt = (column.ravel() for column in every)
    batches = replace(
        one.batches.of(np.zeros(mean.size, np.intp)),
        mean_age=mean,
        fruit_sd=fruit,
        doubt_sd=doubt,
    )
    nothing = np.zeros((mean.size, 1))
    low, mid, high = ready_range(batches, gained_at(nothing, nothing))
    assert (low >= 0.0).all()
    assert (low <= mid).all()
    assert (mid <= high).all()
    assert (high <= 1.0).all()
    sure = doubt == 0.0
    assert (low[sure] == high[sure]).all()


def test_the_range_of_a_share_is_that_of_many_drawn_truths() -> None:
    crop = PAWPAW.but(slope_sd=0.0, rate_sd=0.2, doubt_sd=0.5, ripens=1.0)
    one = case(crop, AIRS, [[(0.0, REFERENCE)]])
    draw = np.random.default_rng(4)
    mean = crop.mean_age + draw.normal(0.0, crop.doubt_sd, 100_000)
    factor = np.exp(draw.normal(0.0, 0.2, 100_000))
    advance = np.array([[1.0, 2.0, 3.0, 4.5]])
    ages = mean[:, None] + factor[:, None] * advance
    ready_by, soft_by = (
        ndtr((ages - mark) / crop.fruit_sd) for mark in (crop.ready_age, crop.too_soft_age)
    )
    drawn = np.quantile(ready_by - soft_by, (0.1, 0.5, 0.9), axis=0)
    found = np.concatenate(ready_range(one.batches, gained_at(advance, np.array([[0.2]]))))
    np.testing.assert_allclose(found, drawn, atol=0.03)

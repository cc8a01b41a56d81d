"""The shifted lognormal against quadrature so fine that it may be called exact."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr, ndtri
from scipy.stats import binom, norm

from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.science.spread import (
    IN_RANGE,
    TAIL_40,
    TAIL_80,
    _Spread,
    advance_at_quantile,
    age_at_quantile,
    chance_sd,
    log_sd_of_range,
    ratio_range,
    sd_of_range,
    sds_off,
    shares_beyond,
    with_chance,
)

_U = np.linspace(-8.5, 8.5, 3001)
_DENSITY = np.exp(-0.5 * _U * _U) / np.exp(-0.5 * _U * _U).sum()


def exact_share_beyond(age: Floats, advance: float, sd_age: float, rate_sd: float) -> Floats:
    """P(e + g exp(s u) > age), summed over u."""
    off = age[:, None] - advance * np.exp(rate_sd * _U)
    return np.asarray(ndtr(-off / sd_age) @ _DENSITY)


def share_beyond(
    age: FloatsLike, mean_age: FloatsLike, advance: FloatsLike, sd_age: FloatsLike, rate: FloatsLike
) -> Floats:
    """What :func:`shares_beyond` works out of one block."""
    return _Spread(mean_age, advance, sd_age, rate).beyond(np.asarray(age, float))


def worst_error(rate_sd: float) -> float:
    """Largest error of a share over all mixtures of fruit spread and rate doubt."""
    worst = 0.0
    for sd_over_advance in rate_sd * np.geomspace(0.1, 10.0, 21):
        scale = np.hypot(sd_over_advance, rate_sd)
        age = 1.0 + scale * np.linspace(-4.0, 5.0, 61)
        share = share_beyond(age, 0.0, 1.0, sd_over_advance, rate_sd)
        error = np.abs(share - exact_share_beyond(age, 1.0, sd_over_advance, rate_sd))
        worst = max(worst, float(error.max()))
    return worst


@pytest.mark.parametrize(
    ("rate_sd", "promised"), [(0.1, 0.00005), (0.2, 0.0003), (0.3, 0.001), (0.4, 0.0025)]
)
def test_map_of_the_error(rate_sd: float, promised: float) -> None:
    """Only the ratio of the two spreads matters, so this map is complete."""
    assert worst_error(rate_sd) < promised


def test_a_crop_that_waits_cold_may_double_that_doubt() -> None:
    """Where the slope of the temperature response is doubtful too, rate_sd reaches 0.6."""
    assert worst_error(0.5) < 0.005
    assert worst_error(0.6) < 0.009


def test_a_first_order_normal_would_not_do() -> None:
    """Why all this: the number in the module's text."""
    rate_sd, worst = 0.2, 0.0
    for sd in rate_sd * np.geomspace(0.3, 10.0, 11):
        scale = np.hypot(sd, rate_sd)
        age = 1.0 + scale * np.linspace(-4.0, 5.0, 181)
        error = ndtr((1.0 - age) / scale) - exact_share_beyond(age, 1.0, sd, rate_sd)
        worst = max(worst, float(np.abs(error).max()))
    assert worst == pytest.approx(0.024, abs=0.004)


def test_without_rate_doubt_it_is_a_normal() -> None:
    age = np.linspace(-3.0, 5.0, 41)
    share = share_beyond(age, 0.4, 1.1, 0.7, 0.0)
    np.testing.assert_allclose(share, ndtr((1.5 - age) / 0.7), atol=1e-8)


def test_without_fruit_spread_it_is_a_lognormal() -> None:
    age = np.linspace(0.6, 6.0, 41)
    share = share_beyond(age, 0.5, 1.5, 0.0, 0.35)
    np.testing.assert_allclose(share, ndtr(-np.log((age - 0.5) / 1.5) / 0.35)[:], atol=1e-7)


def test_before_the_lognormal_begins_every_fruit_is_older() -> None:
    assert share_beyond(-2.0, 0.0, 3.0, 0.0, 0.4) == pytest.approx(1.0, abs=1e-12)


def test_with_no_spread_at_all_it_is_a_step() -> None:
    share = share_beyond(np.array([0.999, 1.001]), 0.0, 1.0, 0.0, 0.0)
    assert share.tolist() == [1.0, 0.0]


def test_at_the_pick_only_the_fruit_differ() -> None:
    assert share_beyond(0.5, 0.0, 0.0, 1.0, 0.4) == pytest.approx(float(ndtr(-0.5)), abs=1e-8)


@given(
    advance=st.floats(0.0, 12.0),
    sd_age=st.floats(0.01, 2.5),
    rate_sd=st.floats(0.0, 0.6),
    mean_age=st.floats(-5.0, 3.0),
)
def test_older_ages_are_rarer(
    advance: float, sd_age: float, rate_sd: float, mean_age: float
) -> None:
    scale = np.hypot(sd_age, advance * rate_sd)
    age = mean_age + advance + scale * np.linspace(-8.0, 12.0, 400)
    share = share_beyond(age, mean_age, advance, sd_age, rate_sd)
    assert (np.diff(share) <= 1e-12).all()
    assert share[0] > 0.999
    assert share[-1] < 0.001


def test_many_batches_and_ages_at_once_answer_as_each_alone() -> None:
    """More values than are taken at a time, so that the seams between blocks are in it."""
    draw = np.random.default_rng(8)
    mean_age, sd_age, rate_sd = draw.uniform((-2, 0.2, 0.0), (0, 1.5, 0.4), (3000, 3)).T[..., None]
    advance = draw.uniform(0.0, 5.0, (3000, 17))
    ages = (draw.uniform(0.0, 3.0, (3000, 1)), draw.uniform(0.0, 3.0, (3000, 17)))
    together = shares_beyond(ages, mean_age, advance, sd_age, rate_sd)
    for age, share in zip(ages, together, strict=True):
        np.testing.assert_array_equal(share, share_beyond(age, mean_age, advance, sd_age, rate_sd))


def test_no_batches_no_shares() -> None:
    none = np.empty((0, 1))
    (share,) = shares_beyond((none,), none, np.empty((0, 5)), none, none)
    assert share.shape == (0, 5)


@given(
    z=st.floats(-3.0, 3.0),
    advance=st.floats(0.0, 12.0),
    sd_age=st.floats(0.05, 2.5),
    rate_sd=st.floats(0.0, 0.4),
)
def test_a_quantile_is_the_age_that_its_share_lies_below(
    z: float, advance: float, sd_age: float, rate_sd: float
) -> None:
    age = age_at_quantile(z, -1.0, advance, sd_age, rate_sd)
    share = share_beyond(age, -1.0, advance, sd_age, rate_sd)
    # The fourth-moment term is inverted to first order.
    assert 1.0 - share == pytest.approx(float(ndtr(z)), abs=1e-3)


def test_tail_80_leaves_a_tenth() -> None:
    assert pytest.approx(float(ndtri(0.9)), abs=1e-15) == TAIL_80


@given(
    z=st.floats(-TAIL_80, TAIL_80),
    age=st.floats(-2.0, 5.0),
    mean_age=st.floats(-5.0, 1.0),
    sd_age=st.floats(0.0, 2.0),
    rate_sd=st.floats(0.0, 0.4),
)
def test_advance_at_quantile_inverts_age_at_quantile(
    z: float, age: float, mean_age: float, sd_age: float, rate_sd: float
) -> None:
    advance = advance_at_quantile(z, age, mean_age, sd_age, rate_sd)
    back = age_at_quantile(z, mean_age, advance, sd_age, rate_sd)
    if advance > 0.0:
        assert back == pytest.approx(age, abs=3e-4)
    else:
        # It was already there: nothing to gain.
        assert back >= age - 3e-4


@pytest.mark.parametrize("rate_sd", [0.5, 0.6])
def test_it_still_does_where_the_rate_is_very_doubtful(rate_sd: float) -> None:
    draw = np.random.default_rng(6)
    age, mean_age, sd_age = draw.uniform((-2, -5, 0), (5, 1, 2), (20_000, 3)).T
    for z in (-TAIL_80, 0.0, TAIL_80):
        advance = advance_at_quantile(z, age, mean_age, sd_age, rate_sd)
        back = age_at_quantile(z, mean_age, advance, sd_age, rate_sd)
        assert np.abs(back - age)[advance > 0.0].max() < 3e-3


def test_the_median_needs_the_median_advance() -> None:
    plain = advance_at_quantile(0.0, 2.0, -1.0, 0.0, 0.3)
    assert plain == pytest.approx(3.0, abs=1e-6)
    certain = advance_at_quantile(TAIL_80, 2.0, -1.0, 0.5, 0.0)
    assert certain == pytest.approx(3.0 - TAIL_80 * 0.5, abs=1e-6)


def test_arguments_broadcast() -> None:
    column: npt.NDArray[np.float64] = np.zeros((3, 1))
    assert share_beyond(np.zeros((1, 4)), column, 1.0, 0.5, 0.2).shape == (3, 4)
    assert age_at_quantile(0.0, column, np.ones((1, 4)), 0.5, 0.2).shape == (3, 4)
    assert advance_at_quantile(0.0, np.ones((1, 4)), column, 0.5, 0.2).shape == (3, 4)


# Ranges.


def test_a_range_and_its_sd_are_one_bell_curve() -> None:
    assert ndtr(TAIL_80) - ndtr(-TAIL_80) == pytest.approx(IN_RANGE)
    assert ndtr(TAIL_40) - ndtr(-TAIL_40) == pytest.approx(0.4)
    low, high = (float(norm.ppf(share, 3.0, 0.7)) for share in (0.1, 0.9))
    assert sd_of_range(low, high) == pytest.approx(0.7)
    assert log_sd_of_range(float(np.exp(low)), float(np.exp(high))) == pytest.approx(0.7)
    assert sds_off(1.4, low, high) == pytest.approx(2.0)


def test_chance_in_few_fruit_is_binomial() -> None:
    assert chance_sd(0.3, 20) == pytest.approx(binom.std(20, 0.3) / 20)
    low, mid, high = with_chance(0.6, 0.6, 0.6, 400.0)
    assert (low, high) == pytest.approx(binom.ppf((0.1, 0.9), 400, 0.6) / 400, abs=0.003)
    assert mid == 0.6


def test_chance_draws_a_range_out_and_never_beyond_all_fruit() -> None:
    low, mid, high = with_chance(0.5, 0.9, 0.99, 10.0)
    assert low < 0.5 < mid == 0.9 < 0.99 < high == 1.0
    none_seen = with_chance(0.0, 0.0, 0.0, 10.0)
    assert none_seen[0] == 0.0 < none_seen[2] < 0.1


def test_what_the_same_doubt_moves_alike_has_a_sure_ratio() -> None:
    assert ratio_range((2.0, 4.0, 8.0), (1.0, 2.0, 4.0)) == (2.0, 2.0, 2.0)
    assert ratio_range((2.0, 4.0, 8.0), (2.0, 2.0, 2.0)) == pytest.approx((1.0, 2.0, 4.0))

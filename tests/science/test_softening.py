"""Firmness and age are two ways to say the same thing, and the curve solves its equation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.softening import (
    age_from_firmness_n,
    firmness_n_at_age,
)
from tests.outside.equation import softening_rate_n_per_day

HIGH_N, LOW_N = 50.0, 2.5


def test_half_soft_at_age_0() -> None:
    assert firmness_n_at_age(0.0, HIGH_N, LOW_N) == pytest.approx((HIGH_N + LOW_N) / 2)


def test_a_known_age() -> None:
    # 1 / (1 + e) of the range is left at age 1.
    assert firmness_n_at_age(1.0, 10.0, 0.0) == pytest.approx(10.0 / (1.0 + np.e))


@given(age=st.floats(-12.0, 12.0), low_n=st.floats(0.0, 20.0), span_n=st.floats(1.0, 300.0))
def test_age_to_firmness_and_back(age: float, low_n: float, span_n: float) -> None:
    firmness_n = firmness_n_at_age(age, low_n + span_n, low_n)
    assert low_n <= firmness_n <= low_n + span_n
    # Near an asymptote the firmness keeps fewer digits of the age than the age has.
    assert age_from_firmness_n(firmness_n, low_n + span_n, low_n) == pytest.approx(age, abs=1e-6)


@pytest.mark.parametrize("beyond_n", [HIGH_N, HIGH_N + 40.0])
def test_at_or_above_the_firm_asymptote_the_age_is_finite(beyond_n: float) -> None:
    assert age_from_firmness_n(beyond_n, HIGH_N, LOW_N) == pytest.approx(-np.log(1e6 - 1))


@pytest.mark.parametrize("beyond_n", [LOW_N, 0.0, -3.0])
def test_at_or_below_the_soft_asymptote_the_age_is_finite(beyond_n: float) -> None:
    assert age_from_firmness_n(beyond_n, HIGH_N, LOW_N) == pytest.approx(np.log(1e6 - 1))


def test_older_is_softer_and_never_beyond_the_asymptotes() -> None:
    firmness_n = firmness_n_at_age(np.linspace(-30.0, 30.0, 601), HIGH_N, LOW_N)
    assert (np.diff(firmness_n) < 0.0).all()
    assert firmness_n[0] <= HIGH_N
    assert firmness_n[-1] >= LOW_N


def test_crops_broadcast_against_ages() -> None:
    firmness_n = firmness_n_at_age(np.zeros((1, 3)), np.array([[50.0], [90.0]]), 2.0)
    assert firmness_n.tolist() == [[26.0] * 3, [46.0] * 3]


@pytest.mark.parametrize("age", [-4.0, -0.7, 0.0, 2.0, 5.0])
def test_rate_is_the_slope_of_the_curve(age: float) -> None:
    per_day, step = 0.8, 1e-5
    slope = (
        firmness_n_at_age(age + per_day * step, HIGH_N, LOW_N)
        - firmness_n_at_age(age - per_day * step, HIGH_N, LOW_N)
    ) / (2.0 * step)
    rate = softening_rate_n_per_day(firmness_n_at_age(age, HIGH_N, LOW_N), per_day, HIGH_N, LOW_N)
    assert rate == pytest.approx(slope, rel=1e-6)


def test_softening_stands_still_at_the_asymptotes_and_is_fastest_half_way() -> None:
    firmness_n = np.linspace(LOW_N, HIGH_N, 101)
    rate = softening_rate_n_per_day(firmness_n, 0.8, HIGH_N, LOW_N)
    assert rate[0] == rate[-1] == 0.0
    assert int(np.argmin(rate)) == 50
    assert rate[50] == pytest.approx(-0.8 * (HIGH_N - LOW_N) / 4.0)

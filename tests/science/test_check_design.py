"""What a check will tell, held against checks that are drawn and worked out in full."""

import numpy as np
import pytest
from scipy.special import ndtr

from ripenroom.science.check_design import (
    AgeDoubt,
    CheckInformation,
    agreement,
    rates_believed,
    telling_of_feel,
    telling_of_gauge,
)

EDGES = (-1.5, 0.0, 1.0, 2.5)


def test_information_of_a_feel_is_that_of_many_draws() -> None:
    """Fisher information is the variance of the score; here over a million fruit."""
    mean, sd, step = 0.4, 0.8, 1e-4
    walls = np.array([-np.inf, *EDGES, np.inf])

    def log_share(at: float) -> np.ndarray:
        return np.log(np.diff(ndtr((walls - at) / sd)))

    score = (log_share(mean + step) - log_share(mean - step)) / (2.0 * step)
    fruit = np.random.default_rng(5).normal(mean, sd, 1_000_000)
    drawn = score[np.searchsorted(EDGES, fruit)]
    told = telling_of_feel(mean, sd, EDGES, 0.3)
    assert told.per_fruit == pytest.approx(float(drawn.var()), rel=0.01)
    assert told.shared_sd == 0.3
    # Five feels cannot tell more than the ages themselves would.
    assert told.per_fruit < 1.0 / sd**2


def test_fruit_far_from_any_edge_tells_nothing() -> None:
    assert telling_of_feel(-9.0, 0.5, EDGES, 0.3).per_fruit < 1e-9


def test_a_gauge_tells_most_where_firmness_falls_fastest() -> None:
    steep = telling_of_gauge(0.0, 0.5, 60.0, 2.0, 1.0, 0.5)
    flat = telling_of_gauge(5.0, 0.5, 60.0, 2.0, 1.0, 0.5)
    assert steep.per_fruit > 5.0 * flat.per_fruit
    assert steep.shared_sd < flat.shared_sd


def test_what_a_check_leaves_of_the_doubt_is_what_sampling_leaves() -> None:
    """Age and rate drawn, a check drawn for each, and the date predicted from it by regression."""
    doubt, gained, at_date, fruit = AgeDoubt(0.5, 0.3), 1.2, 3.0, 9
    telling = telling_of_gauge(0.0, 0.6, 60.0, 2.0, 2.0, 1.0)
    rng = np.random.default_rng(8)
    age, rate = rng.normal(0, 0.5, 400_000), rng.normal(0, 0.3, 400_000)
    error = np.hypot(1 / np.sqrt(fruit * telling.per_fruit), telling.shared_sd)
    seen = age + gained * rate + rng.normal(0, error, age.size)
    date = age + at_date * rate
    left = np.sqrt(1.0 - np.corrcoef(seen, date)[0, 1] ** 2)
    [none, told] = doubt.of_date_after([0, fruit], telling, gained, at_date)
    assert none == 1.0
    assert told == pytest.approx(left, rel=0.01)


def test_where_nothing_is_doubted_nothing_is_gained() -> None:
    telling = telling_of_feel(0.4, 0.8, EDGES, 0.3)
    assert AgeDoubt(0.0, 0.0).of_date_after([0, 50], telling, 1.0, 2.0).tolist() == [1.0, 1.0]


def test_many_fruit_leave_the_error_that_they_share() -> None:
    tells = CheckInformation(per_fruit=4.0, shared_sd=0.3)
    assert tells.error_of(1) == pytest.approx(np.hypot(0.5, 0.3))
    assert tells.error_of(10**9) == pytest.approx(0.3)


def test_truths_count_by_how_well_they_agree_with_a_finding() -> None:
    """Of many drawn truths the weighed mean is that of the Normal rule for one observation."""
    truths = np.random.default_rng(3).normal(1.0, 0.6, 400_000)
    finding, error = np.array([0.2, 1.9]), 0.4
    weight = agreement(truths, finding, error)
    assert weight.sum(axis=0) == pytest.approx([1.0, 1.0])
    part = 0.6**2 / (0.6**2 + error**2)
    assert truths @ weight == pytest.approx(1.0 + part * (finding - 1.0), abs=0.01)


def test_a_finding_moves_the_rate_as_far_as_they_correlate() -> None:
    """Of pairs drawn with that correlation, those near a finding: mean and spread of the rate."""
    rng, rho = np.random.default_rng(4), 0.6
    rate = rng.normal(size=1_000_000)
    found = rho * rate + np.sqrt(1.0 - rho**2) * rng.normal(size=rate.size)
    near = rate[np.abs(found - 1.5) < 0.05]
    grid = np.linspace(-6.0, 6.0, 1_201)
    weight = rates_believed(grid, rho, np.array([1.5]))[:, 0]
    mean = float(grid @ weight)
    assert mean == pytest.approx(near.mean(), abs=0.02)
    assert np.sqrt(np.square(grid - mean) @ weight) == pytest.approx(near.std(), abs=0.02)

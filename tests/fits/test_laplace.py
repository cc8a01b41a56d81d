"""Laplace's method against the closed form, integration on a grid, and a general optimiser."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import log_ndtr
from scipy.stats import norm

from ripenroom.science.softening import Floats
from tests.fits.laplace import Problem, height, top

MEANT_SD = 0.05
"""How exactly the ends of an interval are meant, as the module has it."""

POINT = 1e-5
"""Half of an interval so narrow that its likelihood is Normal, with MEANT_SD."""


def problem(
    low: Floats, high: Floats, slopes: Floats, effects: Floats, covariance: Floats, mean: Floats
) -> Problem:
    """What is said is linear in the figures: slopes times figures, and 0.3 at none."""
    figures = slopes.shape[1]
    at = np.full(figures, 0.7)
    return Problem(
        at=at,
        said=0.3 + slopes @ at,
        slopes=slopes,
        effects=effects,
        low=low,
        high=high,
        mean=mean,
        covariance=covariance,
    )


def drawn(seed: int, data: int = 6, figures: int = 3, effects: int = 2) -> Problem:
    """Some problem with intervals of all sorts."""
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(figures + effects, figures + effects))
    low = rng.normal(size=data)
    high = low + rng.uniform(0.0, 1.5, size=data)
    low[0], high[1] = -np.inf, np.inf
    return problem(
        low,
        high,
        rng.normal(size=(data, figures)),
        rng.normal(size=(data, effects)),
        root @ root.T + 0.2 * np.eye(figures + effects),
        rng.normal(size=figures + effects),
    )


@pytest.mark.parametrize("seed", range(5))
def test_where_intervals_are_points_it_is_the_closed_form(seed: int) -> None:
    """Linear-Gaussian regression: precisions add, and means are weighted by them."""
    some = drawn(seed)
    told = np.random.default_rng(seed).normal(size=some.said.size)
    some = replace(some, low=told - POINT, high=told + POINT)
    found = top(some, some.mean)
    design = np.hstack([some.slopes, some.effects])
    prior = np.linalg.inv(some.covariance)
    precision = prior + design.T @ design / MEANT_SD**2
    mean = np.linalg.solve(precision, prior @ some.mean + design.T @ (told - 0.3) / MEANT_SD**2)
    assert found.at == pytest.approx(mean, abs=2e-3)
    assert found.covariance == pytest.approx(np.linalg.inv(precision), rel=1e-3, abs=1e-6)


def test_where_nothing_is_said_it_is_the_prior() -> None:
    some = drawn(0)
    open_ends = np.full(some.said.size, np.inf)
    for silent in (
        replace(some, low=-open_ends, high=open_ends),
        some.of(np.zeros(some.said.size, dtype=bool)),
    ):
        found = top(silent, silent.mean + 1.0)
        assert found.at == pytest.approx(silent.mean, abs=1e-6)
        assert found.covariance == pytest.approx(silent.covariance)


@pytest.mark.parametrize(
    ("low", "high", "mean"),
    [
        (-0.2, 0.3, 0.0),
        (1.0, 1.4, 0.0),
        (1.0, np.inf, 0.0),
        (-np.inf, -0.5, 0.2),
        (2.9, 3.1, -1.0),
    ],
)
def test_with_one_unknown_it_is_the_top_of_the_curve_on_a_grid(
    low: float, high: float, mean: float
) -> None:
    """The posterior of one figure, worked out by Normal shares at 400,001 values of it."""
    one = np.array([[1.0]])
    some = replace(
        problem(
            np.array([low]), np.array([high]), one, np.empty((1, 0)), 0.25 * one, np.array([mean])
        ),
        said=np.array([0.7]),
    )
    found = top(some, np.array([mean]))
    grid = np.linspace(mean - 5.0, mean + 5.0, 400_001)
    # Shares in the upper tail are taken by the other end, or they lose all digits.
    upper = (low - grid) / MEANT_SD > 0.0
    share = np.where(
        upper,
        norm.sf((low - grid) / MEANT_SD) - norm.sf((high - grid) / MEANT_SD),
        norm.cdf((high - grid) / MEANT_SD) - norm.cdf((low - grid) / MEANT_SD),
    )
    with np.errstate(divide="ignore"):
        logs = np.log(share) + norm.logpdf(grid, mean, 0.5)
    best = int(logs.argmax())
    assert found.at[0] == pytest.approx(grid[best], abs=2e-3)
    step = 400
    bend = (logs[best + step] - 2.0 * logs[best] + logs[best - step]) / (grid[step] - grid[0]) ** 2
    assert found.covariance[0, 0] == pytest.approx(-1.0 / bend, rel=0.03)


def test_the_covariance_is_about_that_of_the_whole_posterior() -> None:
    """Mean and variance by integration; an interval as wide as what is believed of it."""
    one = np.array([[1.0]])
    some = replace(
        problem(
            np.array([0.4]), np.array([0.5]), one, np.empty((1, 0)), 0.25 * one, np.array([0.0])
        ),
        said=np.array([0.7]),
    )
    found = top(some, np.array([0.0]))
    grid = np.linspace(-2.0, 3.0, 50_001)
    weight = norm.pdf(grid, 0.0, 0.5) * (
        norm.cdf((0.5 - grid) / MEANT_SD) - norm.cdf((0.4 - grid) / MEANT_SD)
    )
    weight /= weight.sum()
    mean = float(weight @ grid)
    assert found.at[0] == pytest.approx(mean, abs=0.01)
    assert found.covariance[0, 0] == pytest.approx(float(weight @ (grid - mean) ** 2), rel=0.2)


@pytest.mark.parametrize("seed", range(8))
def test_a_general_optimiser_finds_the_same_top(seed: int) -> None:
    """BFGS on a log posterior written down independently, from ten times as far away."""
    some = drawn(seed)
    prior = np.asarray(np.linalg.inv(some.covariance), dtype=float)

    def loss(at: Floats) -> float:
        figures = some.at.size
        mu = 0.3 + some.slopes @ at[:figures] + some.effects @ at[figures:]
        above, below = (some.high - mu) / MEANT_SD, (some.low - mu) / MEANT_SD
        # By whichever tail is the smaller.
        above, below = np.where(below > 0, -below, above), np.where(below > 0, -above, below)
        big, small = log_ndtr(above), log_ndtr(below)
        inside = big + np.log1p(-np.exp(np.minimum(small - big, -1e-14)))
        off = at - some.mean
        return float(-inside.sum() + 0.5 * off @ prior @ off)

    best = minimize(loss, some.mean, method="BFGS", options={"gtol": 1e-6, "maxiter": 2000})
    found = top(some, some.mean + 3.0)
    assert loss(found.at) <= best.fun + 1e-3
    assert found.at == pytest.approx(best.x, abs=0.01)
    # Constants of the height are the same everywhere.
    assert height(some, prior, found.at) + loss(found.at) == pytest.approx(
        height(some, prior, some.mean) + loss(some.mean)
    )


@pytest.mark.parametrize("away", [-100.0, 100.0])
def test_it_comes_back_from_very_far_away(away: float) -> None:
    """Where the share of an interval is no number any more, its logarithm still leads there."""
    some = drawn(3)
    assert top(some, some.mean + away).at == pytest.approx(top(some, some.mean).at, abs=0.01)


def test_more_of_the_data_never_leave_more_doubt() -> None:
    some = drawn(5)
    all_sds = np.sqrt(np.diag(top(some, some.mean).covariance))
    fewer = some.of(np.arange(some.said.size) < 3)
    assert (all_sds <= np.sqrt(np.diag(fewer.covariance))).all()
    none_sds = np.sqrt(np.diag(some.covariance))
    assert (all_sds <= none_sds + 1e-9).all()


def test_other_figures_to_linearise_around_change_nothing_that_is_linear() -> None:
    some = drawn(1)
    other = some.at + 0.4
    again = some.at_figures(other, 0.3 + some.slopes @ other, some.slopes)
    assert again.mu(some.mean) == pytest.approx(some.mu(some.mean))
    assert top(again, some.mean).at == pytest.approx(top(some, some.mean).at, abs=1e-3)

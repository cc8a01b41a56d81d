"""Most likely values, and the Normal around them, where data are intervals (Laplace's method).

What is published is an interval in which ``mu`` lies, ``mu`` being a smooth function of some
figures plus effects that are linear in it. With a Normal prior on all of them the log posterior is
nearly concave: Newton's steps lead to its top, and the curvature there is the inverse covariance.
See Tierney & Kadane 1986, J. Amer. Stat. Assoc. 81:82-86 (from memory).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.special import log_ndtr

from ripenroom.science.softening import Floats

_MEANT_WITHIN = 0.05
"""Sd of how exactly the ends of a published interval are meant (log): 5 %."""

_STEPS = 40
_HALVINGS = 8
_SMALL = 1e-3
"""Newton is done when no unknown moves by more (log, age or logit): a thousandth."""


@dataclass(frozen=True, slots=True)
class Top:
    """Where the posterior is highest, and the covariance there; (unknowns,) and its square."""

    at: Floats
    covariance: Floats
    height: float


@dataclass(frozen=True, slots=True)
class Problem:
    """``said`` gives mu (data,) by the figures (figures,), ``slopes`` its derivatives (data,
    figures); both raise ``ValueError`` where figures cannot be. ``effects`` (data, effects) are
    added to mu linearly. Means and covariance are of figures and effects, in this order."""

    said: Callable[[Floats], Floats]
    slopes: Callable[[Floats], Floats]
    effects: Floats
    low: Floats
    high: Floats
    mean: Floats
    covariance: Floats


def top(problem: Problem, start: Floats, steps: int = _STEPS) -> Top:
    """The top of the posterior, looked for from ``start`` (unknowns,)."""
    figures = problem.mean.size - problem.effects.shape[1]
    precision = np.linalg.inv(problem.covariance)

    def height(at: Floats) -> float:
        try:
            mu = problem.said(at[:figures]) + problem.effects @ at[figures:]
        except ValueError:
            return -np.inf
        off = at - problem.mean
        return float(_log_within(mu, problem)[0].sum() - 0.5 * off @ precision @ off)

    at, here = start.copy(), height(start)
    slopes = np.hstack([problem.slopes(at[:figures]), problem.effects])
    for _ in range(steps):
        mu = problem.said(at[:figures]) + problem.effects @ at[figures:]
        _, pull, curve = _log_within(mu, problem)
        curvature = slopes.T @ (curve[:, None] * slopes) + precision
        step = cho_solve(
            cho_factor(curvature), slopes.T @ pull - precision @ (at - problem.mean)
        )
        share = min(1.0, 1.0 / max(float(np.abs(step[:figures]).max(initial=0.0)), 1.0))
        for _ in range(_HALVINGS):
            there = height(at + share * step)
            if there > here:
                break
            share /= 2.0
        else:
            break
        moved = float(np.abs(share * step).max())
        at, here = at + share * step, there
        slopes = np.hstack([problem.slopes(at[:figures]), problem.effects])
        if moved < _SMALL:
            break
    mu = problem.said(at[:figures]) + problem.effects @ at[figures:]
    curve = _log_within(mu, problem)[2]
    curvature = slopes.T @ (curve[:, None] * slopes) + precision
    return Top(at, np.linalg.inv(curvature), here)


def _log_within(mu: Floats, problem: Problem) -> tuple[Floats, Floats, Floats]:
    """Log likelihood of each interval given ``mu``, its slope and its curvature (positive)."""
    low = (problem.low - mu) / _MEANT_WITHIN
    high = (problem.high - mu) / _MEANT_WITHIN
    # Mirrored where both ends lie in the upper tail, in which differences lose all digits.
    flip = low > 0.0
    below, above = np.where(flip, -high, low), np.where(flip, -low, high)
    log_above, log_below = log_ndtr(above), log_ndtr(below)
    within = log_above + np.log1p(-np.exp(np.minimum(log_below - log_above, -1e-12)))
    at_low, at_high = _density_over(low, within), _density_over(high, within)
    pull = at_low - at_high
    curve = pull**2 - (_times(low, at_low) - _times(high, at_high))
    return within, pull / _MEANT_WITHIN, np.maximum(curve, 0.0) / _MEANT_WITHIN**2


def _density_over(at: Floats, log_share: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * at**2 - 0.5 * np.log(2.0 * np.pi) - log_share))


def _times(at: Floats, density: Floats) -> Floats:
    return np.where(np.isfinite(at), at, 0.0) * density

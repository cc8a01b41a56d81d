"""Most likely values, and the Normal around them, where data are intervals (Laplace's method).

What is published is an interval in which ``mu`` lies, ``mu`` being a smooth function of some
figures, taken as linear near some of them, plus effects that are linear in it. With a Normal prior
on all of them the log posterior is concave: Newton's steps lead to its top, and the curvature there
is the inverse covariance.
See Tierney & Kadane 1986, J. Amer. Stat. Assoc. 81:82-86 (from memory).
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.special import log_ndtr

from ripenroom.science.softening import Floats

_MEANT_WITHIN = 0.05
"""Sd of how exactly the ends of a published interval are meant (log): 5 %."""

_STEPS = 100
_HALVINGS = 20
_SMALL = 1e-3
"""Newton is done when no unknown moves by more (log, age or logit): a thousandth."""


@dataclass(frozen=True, slots=True)
class Top:
    """Where the posterior is highest, and the covariance there; (unknowns,) and its square."""

    at: Floats
    covariance: Floats


@dataclass(frozen=True, slots=True)
class Problem:
    """``mu = said + slopes (figures - at) + effects``: ``said`` (data,) holds at the figures ``at``
    (figures,), ``slopes`` are (data, figures), and ``effects`` (data, effects) how they add up.
    Each mu lies between ``low`` and ``high`` (data,). ``mean`` and ``covariance`` of the prior are
    of figures and effects, in this order."""

    at: Floats
    said: Floats
    slopes: Floats
    effects: Floats
    low: Floats
    high: Floats
    mean: Floats
    covariance: Floats

    def mu(self, unknowns: Floats) -> Floats:
        """What the data are told to be, (data,)."""
        count = self.at.size
        return np.asarray(
            self.said + self.slopes @ (unknowns[:count] - self.at) + self.effects @ unknowns[count:]
        )

    def at_figures(self, at: Floats, said: Floats, slopes: Floats) -> "Problem":
        """The same around other figures."""
        return replace(self, at=at, said=said, slopes=slopes)

    def of(self, kept: np.ndarray) -> "Problem":
        """The same from some of the data only."""
        return replace(
            self,
            said=self.said[kept],
            slopes=self.slopes[kept],
            effects=self.effects[kept],
            low=self.low[kept],
            high=self.high[kept],
        )


def top(problem: Problem, start: Floats) -> Top:
    """The top of the posterior, looked for from ``start`` (unknowns,)."""
    design = np.hstack([problem.slopes, problem.effects])
    precision = np.asarray(np.linalg.inv(problem.covariance), dtype=float)
    at, here = start.copy(), height(problem, precision, start)
    for _ in range(_STEPS):
        _, pull, curve = log_within(problem.mu(at), problem)
        curvature = design.T @ (curve[:, None] * design) + precision
        uphill = design.T @ pull - precision @ (at - problem.mean)
        step = cho_solve(cho_factor(curvature), uphill)
        share = 1.0
        for _ in range(_HALVINGS):
            there = height(problem, precision, at + share * step)
            if there > here:
                break
            share /= 2.0
        else:
            break
        at, here = at + share * step, there
        if np.abs(share * step).max() < _SMALL:
            break
    curve = log_within(problem.mu(at), problem)[2]
    curvature = design.T @ (curve[:, None] * design) + precision
    return Top(at, np.linalg.inv(curvature))


def effects_alone(problem: Problem) -> tuple[Floats, float]:
    """The likeliest effects if the figures are those at which the problem stands, and the log of
    the posterior there, up to a constant."""
    count = problem.at.size
    off = problem.at - problem.mean[:count]
    alone = replace(
        problem,
        at=problem.at[:0],
        slopes=problem.slopes[:, :0],
        mean=problem.mean[count:],
        covariance=problem.covariance[count:, count:],
    )
    found = top(alone, np.zeros(problem.effects.shape[1])).at
    precision = np.asarray(np.linalg.inv(alone.covariance), dtype=float)
    of_figures = 0.5 * off @ np.linalg.solve(problem.covariance[:count, :count], off)
    return found, height(alone, precision, found) - float(of_figures)


def height(problem: Problem, precision: Floats, at: Floats) -> float:
    """Log of the posterior at some unknowns, up to a constant."""
    off = at - problem.mean
    return float(log_within(problem.mu(at), problem)[0].sum() - 0.5 * off @ precision @ off)


def log_within(mu: Floats, problem: Problem) -> tuple[Floats, Floats, Floats]:
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

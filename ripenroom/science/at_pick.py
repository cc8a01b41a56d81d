"""How old a batch was at pick, from hand feel or from a penetrometer.

Ages within a batch are Normal(mu, sigma^2). Both readings leave mu and sigma as the mode of
likelihood times prior, with the curvature there as the doubt about mu. All batches at once;
arrays have one line per batch.

Hand feel is exact: each feel is an interval of firmness, so of age, and the counts are an
interval-censored Normal sample. Gauge readings are fitted in firmness, not in age, because an age
near an asymptote is worthless as a datum: mean and variance of firmness over the batch are
integrated, and the gauge's error is added there.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import expit, log_ndtr

from ripenroom.science.softening import Floats, FloatsLike, firmness_n_at_age

_NODES, _NODE_WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_NODE_WEIGHTS = _NODE_WEIGHTS / _NODE_WEIGHTS.sum()

_SPREAD_DOUBT = 0.4
"""Sd of the log of a batch's spread around its crop's usual one: half as much to twice as much."""


@dataclass(frozen=True, slots=True)
class AgeAtPick:
    """Mean physiological age at pick [-], the sd of our doubt about it, and the fruit's own sd."""

    mean: Floats
    doubt_sd: Floats
    fruit_sd: Floats


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed before looking: mean age and its sd, and the usual fruit-to-fruit sd."""

    mean: Floats
    sd: Floats
    fruit_sd: Floats


def age_from_nothing(prior: Prior) -> AgeAtPick:
    """The prior itself, for batches whose firmness was not noted."""
    return AgeAtPick(prior.mean, prior.sd, prior.fruit_sd)


def age_from_feel(
    counts: FloatsLike, edges: FloatsLike, judgement_sd: FloatsLike, prior: Prior
) -> AgeAtPick:
    """Age at pick from counts by hand feel.

    ``counts`` has shape (batches, feels), hardest first; ``edges`` (batches, feels - 1) are the
    ages that part the feels, increasing. ``judgement_sd`` is the sd in age by which one hand is
    off for the whole sample; it adds to the doubt, since no number of fruit averages it out.
    """
    fruit = np.asarray(counts, float)
    edges = np.asarray(edges, float)

    def log_likelihood(mean: Floats, fruit_sd: Floats) -> Floats:
        upper = (edges - mean[:, None]) / fruit_sd[:, None]
        terms = fruit * _log_between(upper)
        return np.asarray(terms.sum(axis=1))

    found = _mode(log_likelihood, prior)
    doubt = np.hypot(found.doubt_sd, np.asarray(judgement_sd, float))
    return AgeAtPick(found.mean, doubt, found.fruit_sd)


def _log_between(upper: Floats) -> Floats:
    """Log probability of each interval between increasing standard edges, shape (n, k + 1)."""
    first = log_ndtr(upper[:, :1])
    last = log_ndtr(-upper[:, -1:])
    low, high = upper[:, :-1], upper[:, 1:]
    # Mirror intervals that lie in the upper tail, where differences of ndtr lose all digits.
    flip = low > 0.0
    low, high = np.where(flip, -high, low), np.where(flip, -low, high)
    inner = log_ndtr(high) + np.log1p(-np.exp(np.minimum(log_ndtr(low) - log_ndtr(high), -1e-12)))
    return np.concatenate([first, inner, last], axis=1)


def age_from_readings(
    number: FloatsLike,
    mean_n: FloatsLike,
    squares_n2: FloatsLike,
    error_n: FloatsLike,
    highest_n: FloatsLike,
    lowest_n: FloatsLike,
    prior: Prior,
) -> AgeAtPick:
    """Age at pick from firmness readings (N), given per batch as number, mean and sum of squares.

    ``squares_n2`` is the sum of squared deviations from the mean (N^2). ``error_n`` is the gauge's
    and hand's sd (N) for one reading.
    """
    number, mean_n = np.asarray(number, float), np.asarray(mean_n, float)
    squares_n2, error_n = np.asarray(squares_n2, float), np.asarray(error_n, float)
    high = np.asarray(highest_n, float)[:, None]
    low = np.asarray(lowest_n, float)[:, None]

    def log_likelihood(mean: Floats, fruit_sd: Floats) -> Floats:
        firmness = firmness_n_at_age(mean[:, None] + fruit_sd[:, None] * _NODES, high, low)
        expected = firmness @ _NODE_WEIGHTS
        variance = np.square(firmness - expected[:, None]) @ _NODE_WEIGHTS + error_n**2
        misfit = squares_n2 + number * np.square(mean_n - expected)
        return np.asarray(-0.5 * (number * np.log(variance) + misfit / variance))

    return _mode(log_likelihood, prior)


def _mode(log_likelihood: Callable[[Floats, Floats], Floats], prior: Prior) -> AgeAtPick:
    """Mode over (mean, log spread) by damped Newton, derivatives by central differences.

    Two unknowns per batch and a smooth, nearly quadratic target: twelve steps settle to 1e-6.
    """

    def target(mean: Floats, log_sd: Floats) -> Floats:
        off = (mean - prior.mean) / prior.sd
        wide = (log_sd - np.log(prior.fruit_sd)) / _SPREAD_DOUBT
        return log_likelihood(mean, np.exp(log_sd)) - 0.5 * (off * off + wide * wide)

    mean, log_sd = prior.mean.astype(float), np.log(prior.fruit_sd)
    step = 1e-3
    for _ in range(25):
        here = target(mean, log_sd)
        up, down = target(mean + step, log_sd), target(mean - step, log_sd)
        wider, narrower = target(mean, log_sd + step), target(mean, log_sd - step)
        corner = target(mean + step, log_sd + step)
        slope_m, slope_s = (up - down) / (2 * step), (wider - narrower) / (2 * step)
        curve_m = np.minimum((up - 2 * here + down) / step**2, -1e-2)
        curve_s = np.minimum((wider - 2 * here + narrower) / step**2, -1e-2)
        cross = (corner - up - wider + here) / step**2
        cross = np.sign(cross) * np.minimum(np.abs(cross), 0.9 * np.sqrt(curve_m * curve_s))
        determinant = curve_m * curve_s - cross * cross
        move_m = -(curve_s * slope_m - cross * slope_s) / determinant
        move_s = -(curve_m * slope_s - cross * slope_m) / determinant
        mean = mean + np.clip(move_m, -1.0, 1.0)
        log_sd = log_sd + np.clip(move_s, -0.5, 0.5)
        if max(np.abs(move_m).max(initial=0.0), np.abs(move_s).max(initial=0.0)) < 1e-6:
            break
    doubt = np.sqrt(-curve_s / determinant)
    return AgeAtPick(mean, doubt, np.exp(log_sd))


def share_that_ripens(
    age: AgeAtPick,
    half_n: FloatsLike,
    width_n: FloatsLike,
    highest_n: FloatsLike,
    lowest_n: FloatsLike,
) -> Floats:
    """Share of a batch's fruit that can still ripen off the tree, shape (batches,).

    One fruit ripens with probability ``1 / (1 + exp((F - half_n) / width_n))`` of its firmness F
    (N) at pick, averaged over the batch.
    """
    firmness = firmness_n_at_age(
        age.mean[:, None] + age.fruit_sd[:, None] * _NODES,
        np.asarray(highest_n, float)[:, None],
        np.asarray(lowest_n, float)[:, None],
    )
    off = (firmness - np.asarray(half_n, float)[:, None]) / np.asarray(width_n, float)[:, None]
    return np.asarray(expit(-off) @ _NODE_WEIGHTS)

"""How old a batch was at pick, from hand feel or from a penetrometer.

Ages within a batch are Normal(mu, sigma^2). Both readings leave mu and sigma as the mode of
likelihood times prior, with the curvature there as the doubt about mu. All batches at once;
arrays have one line per batch.

Hand feel is exact: each feel is an interval of firmness, so of age, and the counts are an
interval-censored Normal sample. Where no one Normal has such counts, as where hard and soft fruit
are kept together, the batch is what its feels would be apart: a mixture. Gauge readings are fitted
in firmness, not in age, because an age near an asymptote is worthless as a datum: mean and variance
of firmness over the batch are integrated, and the gauge's error is added there.
"""

from collections.abc import Callable

import numpy as np

from ripenroom.science.ages import AgeAtPick, Prior
from ripenroom.science.compiled import log_ndtr
from ripenroom.science.mixed_feels import how_apart, mixed
from ripenroom.science.softening import Floats, FloatsLike, firmness_n_at_age

_NODES, _NODE_WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_NODE_WEIGHTS = _NODE_WEIGHTS / _NODE_WEIGHTS.sum()

_SPREAD_DOUBT = 0.4
"""Sd of the log of a batch's spread around its crop's usual one: half as much to twice as much."""

SHARED_ERROR = 0.5
"""Part of a reading's error that all readings of a batch share: a gauge off zero, a heavy hand."""


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

    A batch of one feel only was sorted, so it is no sample of a Normal. One of several feels is a
    sample of one Normal or a mixture of sorted fruit, each as likely as its counts make it
    (:mod:`ripenroom.science.mixed_feels`).
    """
    fruit = np.asarray(counts, float)
    edges = np.asarray(edges, float)

    def log_likelihood(mean: Floats, fruit_sd: Floats) -> Floats:
        upper = (edges - mean[:, None]) / fruit_sd[:, None]
        terms = np.where(fruit > 0.0, fruit * _log_between(upper), 0.0)
        return np.asarray(terms.sum(axis=1))

    bell = _mode(log_likelihood, prior.wide)
    as_bell = log_likelihood(bell.mean, bell.fruit_sd)
    as_bell += _log_prior(bell.mean, np.log(bell.fruit_sd), prior.wide)
    apart = how_apart(fruit, as_bell)
    age = mixed(fruit, edges, prior, bell, apart)
    doubt = np.hypot(age.doubt_sd, np.asarray(judgement_sd, float))
    return AgeAtPick(age.mean, doubt, age.fruit_sd, age.bands)


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
    and hand's sd (N) for one reading; half as much again is shared by all readings of a batch and
    adds to the doubt, since no number of readings averages it out.
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

    found = _mode(log_likelihood, prior.wide)
    span = high[:, 0] - low[:, 0]
    share = (firmness_n_at_age(found.mean, high[:, 0], low[:, 0]) - low[:, 0]) / span
    gauge_sd = SHARED_ERROR * error_n / (span * share * (1.0 - share))
    # However far off the gauge may be, the reader knows no less than before looking.
    doubt = np.minimum(np.hypot(found.doubt_sd, gauge_sd), prior.wide.sd)
    return AgeAtPick(found.mean, doubt, found.fruit_sd)


def _log_prior(mean: Floats, log_sd: Floats, prior: Prior) -> Floats:
    """Log of the prior of mean and log spread, 0 at its top."""
    off = (mean - prior.mean) / prior.sd
    wide = (log_sd - np.log(prior.fruit_sd)) / _SPREAD_DOUBT
    return np.asarray(-0.5 * (off * off + wide * wide))


def _mode(log_likelihood: Callable[[Floats, Floats], Floats], prior: Prior) -> AgeAtPick:
    """Mode over (mean, log spread) by Newton with halved steps; derivatives by central differences.

    Where the target is not concave the curvature is made so, which turns Newton's step uphill; a
    step is halved until the target rises.
    """

    def target(mean: Floats, log_sd: Floats) -> Floats:
        return log_likelihood(mean, np.exp(log_sd)) + _log_prior(mean, log_sd, prior)

    mean, log_sd = prior.mean.astype(float), np.log(prior.fruit_sd)
    here = target(mean, log_sd)
    for _ in range(60):
        slope_m, slope_s, curve_m, curve_s, cross = _derivatives(target, mean, log_sd, here)
        determinant = curve_m * curve_s - cross * cross
        move_m = (cross * slope_s - curve_s * slope_m) / determinant
        move_s = (cross * slope_m - curve_m * slope_s) / determinant
        share = 1.0 / np.maximum(1.0, np.maximum(np.abs(move_m) / 2.0, np.abs(move_s)))
        for _ in range(12):
            there = target(mean + share * move_m, log_sd + share * move_s)
            worse = there < here
            if not worse.any():
                break
            share = np.where(worse, share / 2.0, share)
        better = there > here
        mean = np.where(better, mean + share * move_m, mean)
        log_sd = np.where(better, log_sd + share * move_s, log_sd)
        here = np.where(better, there, here)
        if not better.any() or np.abs(share * move_m).max() + np.abs(share * move_s).max() < 1e-5:
            break
    _, _, curve_m, curve_s, cross = _derivatives(target, mean, log_sd, here)
    doubt = np.sqrt(-curve_s / (curve_m * curve_s - cross * cross))
    return AgeAtPick(mean, doubt, np.exp(log_sd))


def _derivatives(
    target: Callable[[Floats, Floats], Floats], mean: Floats, log_sd: Floats, here: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Slopes, curvatures and cross derivative, the last three made negative definite."""
    step = 1e-3
    up, down = target(mean + step, log_sd), target(mean - step, log_sd)
    wider, narrower = target(mean, log_sd + step), target(mean, log_sd - step)
    corner, other = target(mean + step, log_sd + step), target(mean - step, log_sd - step)
    curve_m = np.minimum((up - 2.0 * here + down) / step**2, -0.05)
    curve_s = np.minimum((wider - 2.0 * here + narrower) / step**2, -0.05)
    cross = (corner + other - up - down - wider - narrower + 2.0 * here) / (2.0 * step**2)
    most = 0.95 * np.sqrt(curve_m * curve_s)
    slope_m, slope_s = (up - down) / (2.0 * step), (wider - narrower) / (2.0 * step)
    return slope_m, slope_s, curve_m, curve_s, np.clip(cross, -most, most)

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
import numpy.typing as npt
from scipy.special import expit, log_ndtr

from ripenroom.science.softening import Floats, FloatsLike, firmness_n_at_age

_NODES, _NODE_WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_NODE_WEIGHTS = _NODE_WEIGHTS / _NODE_WEIGHTS.sum()

_SPREAD_DOUBT = 0.4
"""Sd of the log of a batch's spread around its crop's usual one: half as much to twice as much."""

_LOOKED_AT_SD = 2.0
"""Sd of the prior for the mean age once fruit was felt or measured: it hardly holds them back."""

_FEWEST = 1e-6
"""Share of fruit that can ripen below which nothing is told of it."""

_LEAST_PART = 0.2
"""Fruit that ripens differs at least by this part of how all of its batch does."""

SHARED_ERROR = 0.5
"""Part of a reading's error that all readings of a batch share: a gauge off zero, a heavy hand."""


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

    A batch of one feel only was sorted, so it is no sample of a Normal: see :func:`_sorted_age`.
    """
    fruit = np.asarray(counts, float)
    edges = np.asarray(edges, float)
    one_feel = (fruit > 0.0).sum(axis=1) == 1

    def log_likelihood(mean: Floats, fruit_sd: Floats) -> Floats:
        upper = (edges - mean[:, None]) / fruit_sd[:, None]
        terms = np.where(fruit > 0.0, fruit * _log_between(upper), 0.0)
        return np.asarray(terms.sum(axis=1))

    mixed = _mode(log_likelihood, _wide(prior))
    sorted_ = _sorted_age(fruit.argmax(axis=1), edges, prior)
    mean, doubt, fruit_sd = (
        np.where(one_feel, of_sorted, of_mixed)
        for of_sorted, of_mixed in (
            (sorted_.mean, mixed.mean),
            (sorted_.doubt_sd, mixed.doubt_sd),
            (sorted_.fruit_sd, mixed.fruit_sd),
        )
    )
    return AgeAtPick(mean, np.hypot(doubt, np.asarray(judgement_sd, float)), fruit_sd)


def _sorted_age(feel: npt.NDArray[np.intp], edges: Floats, prior: Prior) -> AgeAtPick:
    """Age of fruit sorted into one feel: a wide Normal cut to that feel's interval.

    Hard has no firm end, so there the Normal is that of fruit at maturity.

    The variance V of the cut Normal is all that the feel leaves open. It is shared between the
    fruit and the batch's mean in the proportion of the usual fruit variance to V: in a wide
    interval fruit of one pick huddle somewhere unknown, in a narrow one they fill it.
    """
    wide = _wide(prior)
    line = np.arange(edges.shape[0])
    walls = np.pad(edges, ((0, 0), (1, 1)), constant_values=((0, 0), (-np.inf, np.inf)))
    sd = np.where(feel == 0, np.hypot(prior.sd, prior.fruit_sd), wide.sd)
    low = (walls[line, feel] - wide.mean) / sd
    high = (walls[line, feel + 1] - wide.mean) / sd
    mean, variance = _cut_normal(low, high)
    variance *= sd**2
    usual = prior.fruit_sd**2
    fruit_variance = variance * usual / (usual + variance)
    return AgeAtPick(
        wide.mean + sd * mean, np.sqrt(variance - fruit_variance), np.sqrt(fruit_variance)
    )


def _cut_normal(low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Mean and variance of a standard Normal cut to (low, high), by 64-point midpoint rule.

    Cut at six sds; the tail formulas with differences of ndtr would lose their digits there.
    """
    low, high = np.clip(low, -6.0, 6.0), np.clip(high, -6.0, 6.0)
    at = low[:, None] + (high - low)[:, None] * ((np.arange(64) + 0.5) / 64.0)
    density = np.exp(-0.5 * (at * at - (at * at).min(axis=1, keepdims=True)))
    density /= density.sum(axis=1, keepdims=True)
    mean = (density * at).sum(axis=1)
    return mean, (density * np.square(at - mean[:, None])).sum(axis=1)


def _wide(prior: Prior) -> Prior:
    """The prior for fruit that was looked at: where it usually is, but ready to be surprised."""
    return Prior(prior.mean, np.maximum(prior.sd, _LOOKED_AT_SD), prior.fruit_sd)


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

    found = _mode(log_likelihood, _wide(prior))
    span = high[:, 0] - low[:, 0]
    share = (firmness_n_at_age(found.mean, high[:, 0], low[:, 0]) - low[:, 0]) / span
    gauge_sd = SHARED_ERROR * error_n / (span * share * (1.0 - share))
    # However far off the gauge may be, the reader knows no less than before looking.
    doubt = np.minimum(np.hypot(found.doubt_sd, gauge_sd), _wide(prior).sd)
    return AgeAtPick(found.mean, doubt, found.fruit_sd)


def _mode(log_likelihood: Callable[[Floats, Floats], Floats], prior: Prior) -> AgeAtPick:
    """Mode over (mean, log spread) by Newton with halved steps; derivatives by central differences.

    Where the target is not concave the curvature is made so, which turns Newton's step uphill; a
    step is halved until the target rises.
    """

    def target(mean: Floats, log_sd: Floats) -> Floats:
        off = (mean - prior.mean) / prior.sd
        wide = (log_sd - np.log(prior.fruit_sd)) / _SPREAD_DOUBT
        return log_likelihood(mean, np.exp(log_sd)) - 0.5 * (off * off + wide * wide)

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


@dataclass(frozen=True, slots=True)
class Able:
    """Which fruit can ripen off the tree, by its firmness F (N) at pick.

    It does with probability ``1 / (1 + exp((F - half_n) / width_n))``. ``half_sd`` is the doubt
    about ``half_n``, as an age.
    """

    half_n: Floats
    width_n: Floats
    half_sd: Floats
    highest_n: Floats
    lowest_n: Floats


def fruit_that_ripens(age: AgeAtPick, able: Able) -> tuple[Floats, AgeAtPick]:
    """The share of each batch's fruit that can ripen, and how old that part of it is.

    Fruit that was too hard when picked never ripens, so those that do were the older part, and they
    differ less. If all ages and ``half_n`` (as an age) are later by one, so is their mean; of that
    the part ``(sd / fruit_sd)^2`` comes from the ages, as for any Normal that is weighted so.
    """
    ages = age.mean[:, None] + age.fruit_sd[:, None] * _NODES
    firmness = firmness_n_at_age(ages, able.highest_n[:, None], able.lowest_n[:, None])
    weight = expit((able.half_n[:, None] - firmness) / able.width_n[:, None]) * _NODE_WEIGHTS
    share = weight.sum(axis=1)
    weight /= np.maximum(share, _FEWEST)[:, None]
    mean = np.where(share > _FEWEST, (weight * ages).sum(axis=1), age.mean)
    sd = np.sqrt((weight * np.square(ages - mean[:, None])).sum(axis=1))
    sd = np.where(share > _FEWEST, np.maximum(sd, _LEAST_PART * age.fruit_sd), age.fruit_sd)
    part = np.square(sd / np.maximum(age.fruit_sd, 1e-9))
    doubt = np.hypot(part * age.doubt_sd, (1.0 - part) * able.half_sd)
    return share, AgeAtPick(mean, doubt, sd)

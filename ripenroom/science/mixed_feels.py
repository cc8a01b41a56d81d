"""Fruit of one hand feel, and of several kept together.

Fruit that was sorted by feel is no sample of one Normal: each feel is a Normal cut to an interval
of age. Kept together, such fruit are what they would be apart.
"""

import math

import numpy as np
import numpy.typing as npt
from scipy.special import expit, gammaln

from ripenroom.science.age_belief import AgeAtPick, Prior
from ripenroom.science.bands import Bands
from ripenroom.science.softening import Floats

_ANY_COUNT = 0.5
_LOG_ODDS_APART = math.log(0.1)
"""Before anything was felt: one pick in eleven is fruit of several kinds (an estimate)."""

_SMALLEST_SD = 1e-6

_SURE = 0.02
"""Where one account of the counts is less likely than this, it is left out."""


def how_apart(fruit: Floats, log_as_bell: Floats) -> Floats:
    """How likely it is that fruit of several feels was mixed, not one Normal; one feel surely was.

    Against the likelihood times prior of the best Normal stands that of any counts (Dirichlet with
    half a fruit for each feel, Jeffreys' prior; cited from memory).
    """
    feels, number = fruit.shape[1] * _ANY_COUNT, fruit.sum(axis=1)
    log_any = gammaln(feels) - gammaln(number + feels)
    log_any += (gammaln(fruit + _ANY_COUNT) - gammaln(_ANY_COUNT)).sum(axis=1)
    apart = expit(np.asarray(log_any - log_as_bell + _LOG_ODDS_APART))
    apart = np.where(apart < _SURE, 0.0, np.where(apart > 1.0 - _SURE, 1.0, apart))
    return np.where((fruit > 0.0).sum(axis=1) == 1, 1.0, apart)


def mixed(fruit: Floats, edges: Floats, prior: Prior, bell: AgeAtPick, apart: Floats) -> AgeAtPick:
    """Of each batch its bell curve, its feels apart, or both in the proportion ``apart``."""
    batches, feels = fruit.shape
    number = fruit.sum(axis=1, keepdims=True)
    share = np.column_stack([1.0 - apart, apart[:, None] * fruit / np.maximum(number, 1.0)])
    line, feel = np.divmod(np.arange(batches * feels), feels)
    of_line = prior.of(line)
    sorted_ = sorted_age(feel, edges[line], of_line)

    def columns(of_bell: Floats, of_feels: Floats) -> Floats:
        return np.column_stack([of_bell, of_feels.reshape(batches, feels)])

    mean = columns(bell.mean, sorted_.mean)
    doubt2 = columns(bell.doubt_sd, sorted_.doubt_sd) ** 2
    # Where fruit of a feel huddles is not known; of a part of the batch, that counts as that part.
    fruit2 = columns(bell.fruit_sd, sorted_.fruit_sd) ** 2 + (1.0 - share) * doubt2
    middle = (share * mean).sum(axis=1, keepdims=True)
    between2 = (share * np.square(mean - middle)).sum(axis=1)
    # A sample's counts are not those of all fruit.
    of_sample2 = between2 / np.maximum(number[:, 0], 1.0)
    sd = np.maximum(np.sqrt((share * fruit2).sum(axis=1) + between2), _SMALLEST_SD)
    own_sd = np.maximum(np.sqrt(fruit2), _SMALLEST_SD)
    bands = Bands.of_parts(share, (mean - middle) / sd[:, None], own_sd / sd[:, None])
    doubt = np.sqrt((np.square(share) * doubt2).sum(axis=1) + of_sample2)
    return AgeAtPick(middle[:, 0], doubt, sd, bands)


def sorted_age(feel: npt.NDArray[np.intp], edges: Floats, prior: Prior) -> AgeAtPick:
    """Age of fruit sorted into one feel: a wide Normal cut to that feel's interval.

    Hard has no firm end, so there the Normal is that of fruit at maturity.

    The variance V of the cut Normal is all that the feel leaves open. It is shared between the
    fruit and the batch's mean in the proportion of the usual fruit variance to V: in a wide
    interval fruit of one pick huddle somewhere unknown, in a narrow one they fill it.
    """
    wide = prior.wide
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

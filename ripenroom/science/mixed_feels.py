"""Fruit of one hand feel, and of several kept together.

Fruit that was sorted by feel is no sample of one Normal: each feel is a Normal cut to an interval
of age. Kept together, such fruit are what they would be apart.
"""

import math
from dataclasses import dataclass

import numpy as np

from ripenroom.science.ages import AgeAtPick, Bands, Prior
from ripenroom.science.clock import Indices
from ripenroom.science.compiled import expit, gammaln
from ripenroom.science.softening import Floats

_ANY_COUNT = 0.5
_LOG_ODDS_APART = math.log(0.3)
"""Before anything was felt: one pick in four is fruit of several kinds (an estimate)."""

_SMALLEST_SD = 1e-6

_PARTS = 5
"""Bands of each feel."""

_SURE = 0.05
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
    """Of each batch its bell curve, its feels apart, or both in the proportion ``apart``.

    Of a batch of one feel that feel's own bell curve. Else each feel is five bands, a fifth of its
    fruit each: within its ages they may lie anywhere, and these are wide.
    """
    batches, feels = fruit.shape
    number = fruit.sum(axis=1, keepdims=True)
    line, feel = np.divmod(np.arange(batches * feels), feels)
    of_feels = _Cut.to_feel(feel, edges[line], prior.of(line))
    mean, sd = (column.reshape(batches, -1) for column in of_feels.parts())
    counts = np.repeat(fruit / np.maximum(number, 1.0) / _PARTS, _PARTS, axis=1)
    share = np.column_stack([1.0 - apart, apart[:, None] * counts])
    mean, sd = np.column_stack([bell.mean, mean]), np.column_stack([bell.fruit_sd, sd])
    middle = (share * mean).sum(axis=1)
    off = mean - middle[:, None]
    between2 = (share * np.square(off)).sum(axis=1)
    whole_sd = np.sqrt((share * np.square(sd)).sum(axis=1) + between2)
    # Of fruit that may lie anywhere within its feel's ages so many were felt.
    within2 = (fruit * of_feels.moments()[1].reshape(fruit.shape)).sum(axis=1)
    within2 /= np.maximum(number[:, 0], 1.0) ** 2
    doubt = np.sqrt((1.0 - apart) * np.square(bell.doubt_sd) + apart * within2)

    one = (fruit > 0.0).sum(axis=1) == 1
    sorted_ = sorted_age(fruit.argmax(axis=1), edges, prior)
    share[one] = np.eye(1, share.shape[1])
    off[one] = 0.0
    middle, doubt, whole_sd = (
        np.where(one, of_one, of_several)
        for of_one, of_several in (
            (sorted_.mean, middle),
            (sorted_.doubt_sd, doubt),
            (sorted_.fruit_sd, whole_sd),
        )
    )
    whole_sd = np.maximum(whole_sd, _SMALLEST_SD)
    sd[one] = whole_sd[one, None]
    own_sds = np.maximum(sd, _SMALLEST_SD) / whole_sd[:, None]
    bands = Bands.of_parts(share, off / whole_sd[:, None], own_sds)
    return AgeAtPick(middle, doubt, whole_sd, bands)


def sorted_age(feel: Indices, edges: Floats, prior: Prior) -> AgeAtPick:
    """Age of fruit sorted into one feel: a wide Normal cut to that feel's interval.

    The variance V of the cut Normal is all that the feel leaves open. It is shared between the
    fruit and the batch's mean in the proportion of the usual fruit variance to V: in a wide
    interval fruit of one pick huddle somewhere unknown, in a narrow one they fill it.
    """
    mean, variance = _Cut.to_feel(feel, edges, prior).moments()
    usual = prior.fruit_sd**2
    fruit_variance = variance * usual / (usual + variance)
    return AgeAtPick(mean, np.sqrt(variance - fruit_variance), np.sqrt(fruit_variance))


@dataclass(frozen=True, slots=True)
class _Cut:
    """Ages of fruit of one feel each, as ``age`` and ``weight`` at 64 points, (n, 64).

    A Normal as wide as that of fruit that was looked at, cut to the feel's interval. Hard has no
    firm end, so there the Normal is that of fruit at maturity. Cut at six sds, and by the midpoint
    rule: differences of ndtr would lose their digits in the tails.
    """

    age: Floats
    weight: Floats

    @classmethod
    def to_feel(cls, feel: Indices, edges: Floats, prior: Prior) -> "_Cut":
        wide = prior.wide
        line = np.arange(edges.shape[0])
        walls = np.pad(edges, ((0, 0), (1, 1)), constant_values=((0, 0), (-np.inf, np.inf)))
        sd = np.where(feel == 0, np.hypot(prior.sd, prior.fruit_sd), wide.sd)
        low = np.clip((walls[line, feel] - wide.mean) / sd, -6.0, 6.0)
        high = np.clip((walls[line, feel + 1] - wide.mean) / sd, -6.0, 6.0)
        at = low[:, None] + (high - low)[:, None] * ((np.arange(64) + 0.5) / 64.0)
        weight = np.exp(-0.5 * (at * at - (at * at).min(axis=1, keepdims=True)))
        weight /= weight.sum(axis=1, keepdims=True)
        return cls(wide.mean[:, None] + sd[:, None] * at, weight)

    def moments(self) -> tuple[Floats, Floats]:
        """Mean and variance."""
        mean = (self.weight * self.age).sum(axis=1)
        return mean, (self.weight * np.square(self.age - mean[:, None])).sum(axis=1)

    def parts(self) -> tuple[Floats, Floats]:
        """Means and sds of equal parts from the youngest to the oldest, (n, parts)."""
        before = np.cumsum(self.weight, axis=1) - self.weight / 2.0
        number = np.minimum((before * _PARTS).astype(np.intp), _PARTS - 1)
        mean, sd = np.empty((number.shape[0], _PARTS)), np.empty((number.shape[0], _PARTS))
        for part in range(_PARTS):
            weight = np.where(number == part, self.weight, 0.0)
            total = np.maximum(weight.sum(axis=1, keepdims=True), 1e-300)
            own = _Cut(self.age, weight / total)
            mean[:, part], variance = own.moments()
            sd[:, part] = np.sqrt(variance)
        return mean, sd

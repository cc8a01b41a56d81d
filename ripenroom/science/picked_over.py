"""Fruit that was picked over: what was taken, and what stayed, is no sample of the batch.

At a market's packing every fruit of some crates is squeezed. It stays behind if it seems younger
than the age ``fit_from`` at which the market's buyers can have it, is taken if it does not, and is
too soft if it seems older than ``fit_to``. So what stays is the younger part of the batch, and what
is taken the part between: a distribution of ages that is cut off where the hand cut it.

Let ``m`` be the mean age of the batch's fruit, Normal as it is believed, and ``o`` how far a fruit
is from it, as the batch's bands have it. One hand is off by the same for the whole sample
(``e``, of sd ``judgement_sd``) and by a little more for each fruit (``h``). A fruit seems to be
``u + o + h`` old, ``u = m + e``, so that the counts tell of ``u`` alone:

    P(firm | u) = P(u + o + h < fit_from)

and where the hand cut, seen from the mean, depends on ``u`` alone too. Over a grid of ``u`` the
posterior is exact up to its step; ``m`` given ``u`` is Normal, and uncertain by what one hand is.
Whoever believes in a faster rate believes that the hand found fruit too firm, and so that what
stayed is older than it seemed: what is told of age is told for the usual rate, with how far it
leans on the rate.
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.ages import Bands
from ripenroom.science.compiled import expit, logit, ndtr
from ripenroom.science.learning.feel import ODD_SHARE
from ripenroom.science.learning.model import SPREAD_SD
from ripenroom.science.softening import Floats

EACH_FRUIT = 0.4
"""What a hand is off by from fruit to fruit, as a part of what it is off by for a whole sample (an
estimate)."""

_GRID = np.linspace(-5.0, 5.0, 121)
_OFFSETS = 121

_SPREADS = np.sqrt(3.0) * np.array([-1.0, 0.0, 1.0])
_SPREAD_WEIGHTS = np.array([1.0, 4.0, 1.0]) / 6.0
"""Levels of how much more the fruit differ than was thought, and their weights (Gauss-Hermite)."""

_RIPENS = np.linspace(-3.0, 3.5, 14)
"""Levels of the log odds that fruit can ripen, in sds: where hardly any fruit stays firm, more can
ripen than was thought."""

_PARTS = 8
"""Bands that a cut distribution is told by: fruit ready on a day are then off by 0.01 at most."""

_LEAST = 1e-12
_SMALLEST_SD = 1e-4


@dataclass(frozen=True, slots=True)
class Believed:
    """What is believed of the ages of one batch's fruit at one time.

    ``mean`` is the mean age of those that can ripen at the usual rate, with the sd of what is
    doubted about it at any rate. Not knowing the rate makes fruit older by ``lean * r``, ``r`` of
    sd ``rate_sd``. ``bands`` (of one batch) say how fruit differ, in units of ``fruit_sd``;
    ``ripens`` is the share of all fruit that can.
    """

    mean: float
    doubt_sd: float
    fruit_sd: float
    ripens: float
    bands: Bands
    rate_sd: float = 0.0
    lean: float = 1.0


@dataclass(frozen=True, slots=True)
class PickingOver:
    """One picking over: of ``fruit`` that were there so many seemed ``firm``, were ``taken``, were
    too soft and stayed (``soft``), or are ``gone``; the others were not looked at.

    ``fit_from`` and ``fit_to`` are the ages between which fruit is taken, ``ripens_sd`` is the sd
    of the log odds that a fruit of the batch can ripen.
    """

    fruit: float
    firm: int
    taken: int
    soft: int
    gone: int
    fit_from: float
    fit_to: float
    judgement_sd: float
    ripens_sd: float = 1.0

    @property
    def untouched(self) -> float:
        """Fruit that nobody looked at."""
        return max(0.0, self.fruit - self.firm - self.taken - self.soft - self.gone)


def after(before: Believed, picking: PickingOver, taken: bool) -> Believed:
    """What to believe of the fruit that was taken, or else of all that stayed, at that time."""
    return _Cut(before, picking).taken() if taken else _Cut(before, picking).left()


class _Cut:
    """The batch on a grid: seeming mean ages ``u`` at each spread (first axis), offsets ``o``."""

    def __init__(self, before: Believed, picking: PickingOver) -> None:
        self._picking = picking
        self._ripens = expit(
            logit(np.clip(before.ripens, 1e-9, 1.0 - 1e-9)) + picking.ripens_sd * _RIPENS
        )
        hand2, doubt2 = picking.judgement_sd**2, before.doubt_sd**2
        by_rate = before.lean * before.rate_sd
        wide2 = hand2 + doubt2 + by_rate**2 + _SMALLEST_SD**2
        wide = np.sqrt(wide2)
        spread = np.repeat(np.exp(SPREAD_SD * _SPREADS), _GRID.size)
        self._z = np.tile(_GRID, _SPREADS.size)
        seems = before.mean + wide * self._z
        part, off, sds = (
            column[0] for column in (before.bands.part, before.bands.off_sds, before.bands.sds)
        )
        off, sds = off * before.fruit_sd, np.maximum(sds * before.fruit_sd, _SMALLEST_SD)
        low, high = (off - 5.0 * sds)[part > 0.0].min(), (off + 5.0 * sds)[part > 0.0].max()
        offset = np.linspace(low, high, _OFFSETS)
        z = (offset[:, None] - off) / sds
        density = (part / sds * np.exp(-0.5 * z * z)).sum(axis=1)
        self._share = density / density.sum()
        self._offset = spread[:, None] * offset

        each = EACH_FRUIT * picking.judgement_sd + _SMALLEST_SD
        age = seems[:, None] + self._offset
        self._firm = ndtr((picking.fit_from - age) / each)
        # A cut that lies before the other leaves nothing between them.
        self._soft = np.minimum(ndtr((age - picking.fit_to) / each), 1.0 - self._firm)
        self._seen_firm = self._firm @ self._share
        prior = np.log(np.repeat(_SPREAD_WEIGHTS, _GRID.size)) - 0.5 * self._z**2
        weight = prior[:, None] - 0.5 * _RIPENS**2 + self._log_likelihood()
        weight = np.exp(weight - weight.max())
        weight /= weight.sum()
        self._weight = weight.sum(axis=1)
        # How likely each share that can ripen is, given the seeming age.
        self._odds = weight / np.maximum(self._weight[:, None], _LEAST)
        self._rate_sd = before.rate_sd
        self._mean = before.mean + (doubt2 + by_rate**2) / wide2 * (seems - before.mean)
        self._doubt2 = (doubt2 + by_rate**2) * hand2 / wide2
        # The rate, too, given the seeming age: its mean, its variance, how it goes with the age.
        self._rate = before.rate_sd * by_rate / wide2 * (seems - before.mean)
        self._rate2 = before.rate_sd**2 * (1.0 - by_rate**2 / wide2)
        self._age_rate = before.rate_sd * by_rate * hand2 / wide2

    def _log_likelihood(self) -> Floats:
        """Of the counts. Fruit seems too soft also where its ripe life is over, so of what was not
        firm only the sum tells of age."""
        share = self._ripens * self._seen_firm[:, None] + 1.0 - self._ripens
        share = (1.0 - ODD_SHARE) * share + ODD_SHARE / 2.0
        picking = self._picking
        ripe = picking.taken + picking.soft + picking.gone
        return np.asarray(picking.firm * np.log(share) + ripe * np.log1p(-share))

    def taken(self) -> Believed:
        """What was taken: all of it can ripen."""
        between = self._share * (1.0 - self._firm - self._soft)
        return self._told(between, np.ones(self._z.size), np.ones(self._z.size))

    def left(self) -> Believed:
        """What stayed: firm fruit, what nobody looked at, and soft fruit that was not put away.

        Of firm fruit the part that can never ripen is larger than of all.
        """
        picking, ripens = self._picking, self._ripens
        seen = np.maximum(self._seen_firm, _LEAST)[:, None]
        firm = picking.firm * self._mean_of(ripens * seen / (ripens * seen + 1.0 - ripens))
        soft = self._soft * self._share
        of_soft = soft / np.maximum(soft.sum(axis=1, keepdims=True), _LEAST)
        able = (
            picking.untouched * self._mean_of(ripens)[:, None] * self._share
            + firm[:, None] / seen * self._firm * self._share
            + picking.soft * of_soft
        )
        fruit = picking.untouched + picking.firm + picking.soft
        return self._told(able, able.sum(axis=1), np.full(self._z.size, max(fruit, _LEAST)))

    def _mean_of(self, of_ripens: Floats) -> Floats:
        """A mean over what share can ripen, for every seeming age."""
        return np.asarray((self._odds * of_ripens).sum(axis=1))

    def _told(self, of_offset: Floats, able: Floats, fruit: Floats) -> Believed:
        """The belief in fruit of so much weight at each offset, for every seeming age."""
        total = of_offset.sum(axis=1, keepdims=True)
        # Where no fruit would be found there, the likelihood lets next to nothing stand.
        of_offset = np.where(total > _LEAST, of_offset / np.maximum(total, _LEAST), self._share)
        middle = (of_offset * self._offset).sum(axis=1)
        # Of each fruit that can ripen as much is believed as of any other.
        weight = self._weight * able
        weight = weight / max(float(weight.sum()), _LEAST)
        mean = self._mean + middle
        whole_mean, rate = float(weight @ mean), float(weight @ self._rate)
        doubt2 = self._doubt2 + float(weight @ np.square(mean - whole_mean))
        rate2 = self._rate2 + float(weight @ np.square(self._rate - rate))
        together = self._age_rate + float(weight @ ((mean - whole_mean) * (self._rate - rate)))
        lean = min(max(together / rate2, 0.0), 1.0) if rate2 > _LEAST else 0.0
        off, sd = self._parts(of_offset, middle, weight)
        fruit_sd = max(float(np.sqrt(np.mean(off**2 + sd**2))), _SMALLEST_SD)
        even = np.full((1, _PARTS), 1.0 / _PARTS)
        sds = np.maximum(sd / fruit_sd, _SMALLEST_SD)
        return Believed(
            mean=whole_mean - lean * rate,
            doubt_sd=float(
                np.sqrt(max(doubt2 - lean * (2.0 * together - lean * rate2), _SMALLEST_SD**2))
            ),
            fruit_sd=fruit_sd,
            ripens=float(np.clip(self._weight @ (able / fruit), 0.0, 1.0)),
            bands=Bands.of_parts(even, (off / fruit_sd)[None, :], sds[None, :]),
            rate_sd=self._rate_sd,
            lean=lean,
        )

    def _parts(self, of_offset: Floats, middle: Floats, weight: Floats) -> tuple[Floats, Floats]:
        """Means, from the fruit's own mean, and sds of equal parts from young to old fruit."""
        upto = np.cumsum(of_offset, axis=1)
        off, sd = np.empty(_PARTS), np.empty(_PARTS)
        for part in range(_PARTS):
            edges = np.array([part, part + 1.0]) / _PARTS
            inside = np.clip(upto, *edges) - np.clip(upto - of_offset, *edges)
            inside /= np.maximum(inside.sum(axis=1, keepdims=True), _LEAST)
            mean = (inside * self._offset).sum(axis=1)
            variance = (inside * np.square(self._offset)).sum(axis=1) - mean**2
            off[part] = weight @ (mean - middle)
            sd[part] = np.sqrt(max(float(weight @ variance), 0.0))
        return off, sd

"""The share of fruit that can ripen off the tree, and how old that fruit is."""

from dataclasses import dataclass, fields

import numpy as np

from ripenroom.science.ages import AgeAtPick, Bands
from ripenroom.science.clock import Indices
from ripenroom.science.compiled import expit
from ripenroom.science.softening import Floats, firmness_n_at_age

_NODES, _NODE_WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_NODE_WEIGHTS = _NODE_WEIGHTS / _NODE_WEIGHTS.sum()

_FEWEST = 1e-6
"""Share of fruit that can ripen below which nothing is told of it."""

_LEAST_PART = 0.2
"""Fruit that ripens differs at least by this part of how all of its batch does."""


_LOGISTIC = 1.7
"""A logistic distribution is as wide as a Normal of this many times its scale, about (Johnson &
Kotz 1970, Continuous Univariate Distributions; cited from memory)."""


@dataclass(frozen=True, slots=True)
class AbleToRipen:
    """Which fruit can ripen off the tree, by its firmness F (N) at pick.

    It does with probability ``1 / (1 + exp((F - half_n) / width_n))``. ``half_sd`` is the doubt
    about ``half_n``, as an age.
    """

    half_n: Floats
    width_n: Floats
    half_sd: Floats
    highest_n: Floats
    lowest_n: Floats

    def of(self, lines: Indices) -> "AbleToRipen":
        """Of some batches only, which may repeat."""
        return AbleToRipen(*(getattr(self, f.name)[lines] for f in fields(AbleToRipen)))


def fruit_that_ripens(age: AgeAtPick, able: AbleToRipen) -> tuple[Floats, AgeAtPick]:
    """The share of each batch's fruit that can ripen, and how old that part of it is.

    Fruit that was too hard when picked never ripens, so those that do were the older part, and they
    differ less. If all ages and ``half_n`` (as an age) are later by one, so is their mean; of that
    the part ``(sd / fruit_sd)^2`` comes from the ages, as for any Normal that is weighted so.
    """
    of_bands = Bands.bell(age.mean.size) if age.bands is None else age.bands
    lines = np.repeat(np.arange(age.mean.size), of_bands.part.shape[1])
    fruit_sd = age.fruit_sd[lines]
    mean = age.mean[lines] + of_bands.off_sds.ravel() * fruit_sd
    sd = of_bands.sds.ravel() * fruit_sd
    share, able_mean, able_sd = (
        column.reshape(of_bands.part.shape) for column in _able_part(mean, sd, able.of(lines))
    )
    by_age = np.square(able_sd / np.maximum(sd, 1e-9).reshape(share.shape))
    part = of_bands.part * share
    ripens = part.sum(axis=1)
    part = np.where(
        ripens[:, None] > _FEWEST, part / np.maximum(ripens, _FEWEST)[:, None], of_bands.part
    )
    middle = (part * able_mean).sum(axis=1)
    off = able_mean - middle[:, None]
    whole_sd = np.sqrt((part * (np.square(able_sd) + np.square(off))).sum(axis=1))
    whole_sd = np.maximum(whole_sd, 1e-9)
    by_age_of_all = (part * by_age).sum(axis=1)
    doubt = np.hypot(by_age_of_all * age.doubt_sd, (1.0 - by_age_of_all) * able.half_sd)
    bands = None
    if age.bands is not None:
        bands = Bands.of_parts(part, off / whole_sd[:, None], able_sd / whole_sd[:, None])
    return ripens, AgeAtPick(middle, doubt, whole_sd, bands)


def _able_part(mean: Floats, sd: Floats, able: AbleToRipen) -> tuple[Floats, Floats, Floats]:
    """Of fruit of Normal ages the share that can ripen, and the mean age and sd of that part."""
    ages = mean[:, None] + sd[:, None] * _NODES
    firmness = firmness_n_at_age(ages, able.highest_n[:, None], able.lowest_n[:, None])
    weight = expit((able.half_n[:, None] - firmness) / able.width_n[:, None]) * _NODE_WEIGHTS
    share = weight.sum(axis=1)
    weight /= np.maximum(share, _FEWEST)[:, None]
    able_mean = np.where(share > _FEWEST, (weight * ages).sum(axis=1), mean)
    able_sd = np.sqrt((weight * np.square(ages - able_mean[:, None])).sum(axis=1))
    able_sd = np.where(share > _FEWEST, np.maximum(able_sd, _LEAST_PART * sd), sd)
    return share, able_mean, able_sd


def with_odds_times(share: Floats, factor: Floats) -> Floats:
    """A share of fruit when its odds are ``factor`` times what they were: none stays none, and all
    all."""
    return np.asarray(share * factor / (1.0 - share + share * factor))


def ripens_log_odds_sd(half_sd: float, fruit_sd: float) -> float:
    """The sd of the log odds that a fruit can ripen: fruit of a pick differ in age by ``fruit_sd``,
    so that being off by ``half_sd`` in where it begins to is so much of a Normal's quantile."""
    return _LOGISTIC * half_sd / fruit_sd

"""What a posterior says of the ages of harvests at pick, and of factors of speed.

Normal beliefs about one number, such as the log of a rate, are put together and taken apart: each
counts by its precision, one over its variance (the product of Normal densities; Gelman et al.,
Bayesian Data Analysis, chapter 2; cited from memory).
"""

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from ripenroom.science.learning.posterior import Posterior
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80

_FEW_DAYS = 1e-3
"""Reference days in which nothing is gained that matters."""


class AtPick(NamedTuple):
    """Mean age at pick of each harvest with its variance, and its covariances with the log of the
    rate and with the activation energy (in sds of it); all (harvests,)."""

    age: Floats
    variance: Floats
    with_log_rate: Floats
    with_slope: Floats


def factor_range(log: float, sd: float) -> tuple[float, float, float]:
    """The 80 % range of a factor whose log is Normal: low end, middle and high end."""
    low, mid, high = np.exp([log - TAIL_80 * sd, log, log + TAIL_80 * sd]).tolist()
    return low, mid, high


def fruit_sds(posterior: Posterior) -> Floats:
    """How the fruit of each harvest differ in age, (harvests,)."""
    harvests = posterior.farm.harvests
    log_spread = posterior.mean.shared[posterior.farm.log_spread][harvests.cultivar]
    return np.asarray(harvests.fruit_sd * np.exp(log_spread))


def at_pick(
    posterior: Posterior, begins_days: Floats, begins_slope_days: Floats, slope_sd: Floats
) -> AtPick:
    """What is believed of harvests at their picks, also of what came of picking over.

    Of that the age is that of about then, ``begins_days`` reference days after the pick. If ``g``
    is gained until then, it is at the pick

        pick_age - g (1 + d cultivar_rate + slope_effect d slope_offset)

    so that whoever adds that again at another rate is right. ``begins_slope_days`` counts ``d theta
    / d activation energy`` of the days, both (harvests,), and ``slope_sd`` is the sd of each crop's
    activation energy (kJ/mol), (crops,).
    """
    farm, mean = posterior.farm, posterior.mean
    cultivar = farm.harvests.cultivar
    of, crop = posterior.arrow.covariances, farm.cultivars.crop[cultivar]
    some = begins_days > _FEW_DAYS
    slope_effect = slope_sd[crop] * np.where(
        some, begins_slope_days / np.where(some, begins_days, 1.0), 0.0
    )
    log_rate = (
        mean.shared[farm.cultivar_rate][cultivar]
        + slope_effect * mean.shared[farm.slope_offset][crop]
    )
    rate_rate = of[:, 1, 1] + slope_effect * of[:, 1, 2]
    rate_slope = of[:, 1, 2] + slope_effect * of[:, 2, 2]
    own = rate_rate + slope_effect * rate_slope
    gained = farm.crops.rate[crop] * begins_days * np.exp(log_rate)
    with_rate = of[:, 0, 1] + slope_effect * of[:, 0, 2]
    return AtPick(
        # Of a rate that may be higher or lower by a factor, the mean is above the middle.
        mean.age - gained * (1.0 + own / 2.0),
        of[:, 0, 0] - 2.0 * gained * with_rate + gained**2 * own,
        of[:, 0, 1] - gained * rate_rate,
        of[:, 0, 2] - gained * rate_slope,
    )


def put_together(prior_variance: float, told: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Mean and sd of what was believed to be 0, with that variance, after it was ``told`` to be so
    much, each with its sd."""
    weight, pull = 1.0 / prior_variance, 0.0
    for mean, sd in told:
        own = sd**-2
        weight += own
        pull += own * mean
    return pull / weight, weight**-0.5


def taken_apart(
    mean: float, sd: float, before: float, before_sd: float, most_sd: float
) -> tuple[float, float] | None:
    """Mean and sd of what, put to what was believed ``before``, gives what is believed now; None
    where that is less sure than ``most_sd``."""
    weight = sd**-2 - before_sd**-2
    if weight < most_sd**-2:
        return None
    return (mean * sd**-2 - before * before_sd**-2) / weight, float(weight**-0.5)

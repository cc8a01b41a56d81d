"""Each check beside what all others made one expect of it.

Let V be the covariance of mean age and log spread at a check, W minus the curvatures of the check's
log likelihood and g its slopes. Without the check the covariance would be ``U``, the inverse of
``V^-1 - W``, and both would lie ``U g`` lower. To that the check is held: hand feel by the age that
the fruit seem to have, readings by their mean firmness. (A Gaussian left out of a product of
Gaussians, as the cavity of expectation propagation: Minka 2001, UAI, 362-369; cited from memory.)
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ripenroom.science.at_pick import SHARED_ERROR
from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.gauge import ReadChecks
from ripenroom.science.learning.likelihood_cache import Evaluator, LikelihoodCache
from ripenroom.science.learning.model import CheckColumns, FarmModel
from ripenroom.science.learning.posterior import Posterior
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80, with_chance

_LEAST_LEFT = 0.02
"""Part of what is known of a batch's age then that other checks make up, at least."""


@dataclass(frozen=True, slots=True)
class AgainstOthers:
    """What all other checks made one expect of each check, and how far off it was; (checks,).

    Expected were the mean ``age`` to within ``age_sd`` and the spread of fruit ``fruit_sd``. The
    check is ``z`` sds off, positive where fruit was softer; ``pull`` is how far it moves the log of
    its cultivar's rate, or would if it counted; ``ahead`` is by how much age the fruit was further.
    ``able`` is by how much the log of the odds that a fruit can ripen is above what was thought.
    """

    age: Floats
    age_sd: Floats
    fruit_sd: Floats
    z: Floats
    pull: Floats
    ahead: Floats
    able: Floats


class Expected(NamedTuple):
    """What was ``seen`` in one check, and the 80 % range of what was expected."""

    seen: float
    low: float
    mid: float
    high: float


def against_others(posterior: Posterior, every: CheckColumns, counted: int) -> AgainstOthers:
    """``every`` check against the posterior of the first ``counted`` of them, all else left out."""
    farm, checks = posterior.farm, every.harvest.size
    evaluator = Evaluator(FarmModel(farm.crops, farm.cultivars, farm.told, farm.harvests, every))
    first = np.arange(counted)
    seen = LikelihoodCache.nothing(checks).put(first, posterior.look.seen, first)
    look = evaluator.look(posterior.mode, seen)
    gain, own = look.gain, evaluator.own
    both, with_rate = _at_checks(posterior, every, gain)
    counts = np.arange(checks) < counted
    alone = _alone(both, look.here, counts)
    moved = np.einsum("cij,cj->ci", alone, np.column_stack([look.here.x, look.here.s]))
    pull = np.einsum("ci,ci->c", with_rate, np.linalg.solve(both, moved[:, :, None])[..., 0])
    age = posterior.mode.age[every.harvest] + gain
    log_sd = np.log(farm.harvests.fruit_sd[every.harvest]) + posterior.mode.shared[own[:, 2]]
    age = np.where(counts, age - moved[:, 0], age)
    age_sd = np.sqrt(np.where(counts, alone[:, 0, 0], both[:, 0, 0]))
    fruit_sd = np.exp(np.where(counts, log_sd - moved[:, 1], log_sd))
    z, ahead = np.empty(checks), np.empty(checks)
    for likelihood, numbers in every.kinds:
        mine = np.arange(numbers.size)
        z[numbers] = likelihood.off_by(
            mine, age[numbers], age_sd[numbers], fruit_sd[numbers], look.able[numbers]
        )
        ahead[numbers] = likelihood.seeming_age(mine, age[numbers]) - age[numbers]
    return AgainstOthers(age, age_sd, fruit_sd, z, pull, ahead, look.able)


def able_without(posterior: Posterior) -> tuple[Floats, Floats]:
    """Mean and sd of the log of the odds that a fruit can ripen, over what was thought, as each
    check would find it: by all others, (checks,).

    What the check tells is taken off by its slope and its curvature at its batch's age. That is
    more than it told where age is doubtful, so never more is taken off than leaves what was thought
    before any check.
    """
    farm, here = posterior.farm, posterior.look.here
    crop = farm.cultivars.crop[farm.harvests.cultivar[farm.checks.harvest]]
    sd, number = farm.crops.able_sd[crop], farm.able_offset.start + crop
    left = sd**2 * np.diag(posterior.arrow.tip_covariance)[number]
    some = sd > 0.0
    before, now = (1.0 / np.where(some, variance, 1.0) for variance in (sd**2, left))
    variance = np.where(some, 1.0 / np.maximum(now + np.minimum(here.aa, 0.0), before), 0.0)
    mean = sd * posterior.mode.shared[number] - variance * here.a
    return mean, np.sqrt(variance)


def rate_factors(posterior: Posterior, every: CheckColumns) -> Floats:
    """Factor of the rate of each check's cultivar at the mode, (checks,)."""
    farm = posterior.farm
    cultivar_rate = farm.own()[farm.harvests.cultivar[every.harvest], 0]
    return np.asarray(np.exp(posterior.mode.shared[cultivar_rate]))


def _at_checks(posterior: Posterior, every: CheckColumns, gain: Floats) -> tuple[Floats, Floats]:
    """Covariance of mean age and log spread at each check, (checks, 2, 2), and of both with the log
    of its cultivar's rate, (checks, 2)."""
    of, slope = posterior.arrow.covariances[every.harvest], every.slope
    # What one unit of pick age, cultivar rate, slope offset, log spread and able offset does to age
    # and spread.
    one, none = np.ones_like(gain), np.zeros_like(gain)
    ways = np.stack(
        [[one, gain, gain * slope, none, none], [none, none, none, one, none]]
    ).transpose(2, 0, 1)
    # Two at a time: einsum takes three operands ten times as long.
    both = np.einsum("cik,clk->cil", np.einsum("cij,cjk->cik", ways, of), ways)
    return both, np.einsum("cj,cij->ci", of[:, 1], ways)


def _alone(both: Floats, here: Expansion, counted: npt.NDArray[np.bool_]) -> Floats:
    """Covariances of age and log spread without each check that is counted, with each that is not.

    Shape (checks, 2, 2), as ``both``, what they are now.
    """
    told = -np.stack([[here.xx, here.xs], [here.xs, here.ss]]).transpose(2, 0, 1)
    root = np.linalg.cholesky(both)
    whitened = np.einsum("cik,ckl->cil", np.einsum("cji,cjk->cik", root, told), root)
    part, axes = np.linalg.eigh(whitened)
    least = np.where(counted[:, None], _LEAST_LEFT, 1.0)
    left = np.maximum(np.where(counted[:, None], 1.0 - part, 1.0 + part), least)
    spread = np.einsum("cij,cjk->cik", root, axes)
    return np.asarray(np.einsum("cij,ckj->cik", spread / left[:, None, :], spread))


def felt(
    checks: FeltChecks, at: int, age: float, age_sd: float, fruit_sd: float, able: float
) -> tuple[int, Expected]:
    """Of one check by feel: from which feel on fruit is counted, the share seen, and expected.

    It is the feel whose firm end lies nearest to the expected mean age. The range holds the doubt
    about the age, the hand's error, and the chance in so many fruit.
    """
    edges, counts = checks.walls[at, 1:-1], checks.counts[at]
    # Where feels share an edge, as when a batch is picked over, those between have no fruit.
    number = edges.size - 1 - int(np.argmin(np.abs(edges - age)[::-1]))
    fruit = float(counts.sum())
    sd = float(np.hypot(age_sd, checks.judgement_sd[at]))
    ages = np.array([age - TAIL_80 * sd, age, age + TAIL_80 * sd])
    low, mid, high = checks.share_softer(at, number, ages, fruit_sd, able).tolist()
    seen = float(counts[number + 1 :].sum() / fruit)
    return number + 1, Expected(seen, *with_chance(low, mid, high, fruit))


def read(
    checks: ReadChecks, at: int, age: float, age_sd: float, fruit_sd: float, able: float
) -> Expected:
    """Of one check by gauge: the mean firmness seen and expected (N)."""
    ages = np.array([age + TAIL_80 * age_sd, age, age - TAIL_80 * age_sd])
    same: Floats = np.full(3, fruit_sd)
    mean, variance, error2 = checks.moments(
        np.full(3, at, dtype=np.intp), ages, same, np.full(3, able)
    )
    low, mid, high = mean.tolist()
    of_mean = (variance[1] + error2[1]) / checks.number[at] + SHARED_ERROR**2 * error2[1]
    by_chance = TAIL_80 * float(np.sqrt(of_mean))
    return Expected(
        float(checks.mean_n[at]),
        mid - float(np.hypot(mid - low, by_chance)),
        mid,
        mid + float(np.hypot(high - mid, by_chance)),
    )

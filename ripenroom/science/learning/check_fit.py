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


class SeenAndExpected(NamedTuple):
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
    both, age_rate, spread_rate = _at_checks(posterior, every, gain)
    counts = np.arange(checks) < counted
    alone = _alone(both, look.here, counts)
    older, wider = alone.times(look.here.x, look.here.s)
    by_age, by_spread = both.solved(older, wider)
    pull = age_rate * by_age + spread_rate * by_spread
    age = posterior.mode.age[every.harvest] + gain
    log_sd = np.log(farm.harvests.fruit_sd[every.harvest]) + posterior.mode.shared[own[:, 2]]
    age = np.where(counts, age - older, age)
    age_sd = np.sqrt(np.where(counts, alone.age, both.age))
    fruit_sd = np.exp(np.where(counts, log_sd - wider, log_sd))
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


class _AgeAndSpread(NamedTuple):
    """Covariances of mean age and log spread, (checks,): variance of the one, ``both``, variance of
    the other. Written out, as calls for thousands of tables of two by two take ten times as long.
    """

    age: Floats
    both: Floats
    spread: Floats

    def times(self, age: Floats, spread: Floats) -> tuple[Floats, Floats]:
        """The product with vectors."""
        return self.age * age + self.both * spread, self.both * age + self.spread * spread

    def solved(self, age: Floats, spread: Floats) -> tuple[Floats, Floats]:
        """The vectors whose product these are."""
        determinant = self.age * self.spread - self.both * self.both
        return (
            (self.spread * age - self.both * spread) / determinant,
            (self.age * spread - self.both * age) / determinant,
        )


def _at_checks(
    posterior: Posterior, every: CheckColumns, gain: Floats
) -> tuple[_AgeAndSpread, Floats, Floats]:
    """Covariance of mean age and log spread at each check, and that of either with the log of its
    cultivar's rate, (checks,)."""
    of, harvest = posterior.arrow.covariances, every.harvest
    by_slope = gain * every.slope

    def with_age(which: int) -> Floats:
        """Of an unknown with the age then: pick age, and what rate and slope offset do to it."""
        pick, rate, slope = of[:, which, 0], of[:, which, 1], of[:, which, 2]
        return np.asarray(pick[harvest] + gain * rate[harvest] + by_slope * slope[harvest])

    pick, rate, slope, spread = (with_age(which) for which in range(4))
    both = _AgeAndSpread(pick + gain * rate + by_slope * slope, spread, of[:, 3, 3][harvest])
    return both, rate, of[:, 1, 3][harvest]


def _alone(both: _AgeAndSpread, here: Expansion, counted: npt.NDArray[np.bool_]) -> _AgeAndSpread:
    """Covariances of age and log spread without each check that is counted, with each that is not;
    ``both`` are what they are now."""
    # By the root of what they are now, a check tells parts of it along two axes.
    root_age = np.sqrt(both.age)
    lean = both.both / root_age
    root_spread = np.sqrt(both.spread - lean * lean)
    told_age = -(root_age * (root_age * here.xx + 2.0 * lean * here.xs) + lean * lean * here.ss)
    told_both = -root_spread * (root_age * here.xs + lean * here.ss)
    told_spread = -root_spread * root_spread * here.ss
    middle, off = (told_age + told_spread) / 2.0, (told_age - told_spread) / 2.0
    apart = np.hypot(off, told_both)
    sign = np.where(counted, -1.0, 1.0)
    least = np.where(counted, _LEAST_LEFT, 1.0)
    most, fewest = (1.0 / np.maximum(1.0 + sign * (middle + way * apart), least) for way in (1, -1))
    mean = (most + fewest) / 2.0
    bend = np.divide(most - fewest, 2.0 * apart, out=np.zeros(apart.size), where=apart > 0.0)
    in_age, in_both, in_spread = mean + bend * off, bend * told_both, mean - bend * off
    return _AgeAndSpread(
        both.age * in_age,
        root_age * (lean * in_age + root_spread * in_both),
        lean * (lean * in_age + 2.0 * root_spread * in_both) + root_spread**2 * in_spread,
    )


def felt(
    checks: FeltChecks, at: int, age: float, age_sd: float, fruit_sd: float, able: float
) -> tuple[int, SeenAndExpected]:
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
    return number + 1, SeenAndExpected(seen, *with_chance(low, mid, high, fruit))


def read(
    checks: ReadChecks, at: int, age: float, age_sd: float, fruit_sd: float, able: float
) -> SeenAndExpected:
    """Of one check by gauge: the mean firmness seen and expected (N)."""
    ages = np.array([age + TAIL_80 * age_sd, age, age - TAIL_80 * age_sd])
    same: Floats = np.full(3, fruit_sd)
    mean, variance, error2 = checks.moments(
        np.full(3, at, dtype=np.intp), ages, same, np.full(3, able)
    )
    low, mid, high = mean.tolist()
    of_mean = (variance[1] + error2[1]) / checks.number[at] + SHARED_ERROR**2 * error2[1]
    by_chance = TAIL_80 * float(np.sqrt(of_mean))
    return SeenAndExpected(
        float(checks.mean_n[at]),
        mid - float(np.hypot(mid - low, by_chance)),
        mid,
        mid + float(np.hypot(high - mid, by_chance)),
    )

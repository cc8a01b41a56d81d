"""Each check beside what all others made one expect of it."""

import numpy as np
import numpy.typing as npt

from ripenroom.science.at_pick import SHARED_ERROR
from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.learning.farm import Farm
from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.gauge import ReadChecks
from ripenroom.science.learning.posterior import Posterior
from ripenroom.science.learning.seen import Looking, Seen
from ripenroom.science.outlook import Travel
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80
from ripenroom.season.learning.asked import Asked
from ripenroom.season.learning.learned import SURPRISING_Z, CheckFit, CheckKind, Estimate

_LEAST_LEFT = 0.02
"""Part of what is known of a batch's age then that other checks make up, at least."""

_LEAST_DAYS = 1e-3
"""Reference days in a day, at least: in the coldest room fruit ages by a hundredth."""


class CheckFits:
    """All checks of a question against its posterior.

    Let V be the covariance of mean age and log spread at a check, W minus the curvatures of the
    check's log likelihood and g its slopes. Without the check the covariance would be ``U``, the
    inverse of ``V^-1 - W``, and both would lie ``U g`` lower. To that the check is held: hand feel
    by the age that the fruit seem to have, readings by their mean firmness.
    """

    def __init__(self, question: Asked, posterior: Posterior, travel: Travel) -> None:
        self._question = question
        self._checks = question.every
        farm = question.farm
        whole = Farm(farm.crops, farm.cultivars, farm.told, farm.harvests, question.every)
        looking = Looking(whole)
        seen = Seen.nothing(len(question.checks))
        counted = np.arange(question.counted)
        look = looking.look(posterior.mode, seen.put(counted, posterior.look.seen, counted))
        here: Expansion = look.here
        gain, slope = look.gain, question.every.slope
        of = posterior.arrow.covariances()[question.every.harvest]
        # What one unit of each of mu, lam, eps and tau does to the mean age and to the log spread.
        one, none = np.ones_like(gain), np.zeros_like(gain)
        ways = np.stack([[one, gain, gain * slope, none], [none, none, none, one]]).transpose(
            2, 0, 1
        )
        # Two at a time: einsum takes three operands ten times as long.
        both = np.einsum("cik,clk->cil", np.einsum("cij,cjk->cik", ways, of), ways)
        counted_in = np.arange(len(question.checks)) < question.counted
        alone = _alone(both, here, counted_in)
        moved = np.einsum("cij,cj->ci", alone, np.column_stack([here.x, here.s]))
        with_lam = np.einsum("cj,cij->ci", of[:, 1], ways)
        self._pull = np.einsum(
            "ci,ci->c", with_lam, np.linalg.solve(both, moved[:, :, None])[..., 0]
        )
        age = posterior.mode.age[question.every.harvest] + gain
        tau = posterior.mode.shared[looking.own[:, 2]]
        log_sd = np.log(farm.harvests.fruit_sd[question.every.harvest]) + tau
        self._age = np.where(counted_in, age - moved[:, 0], age)
        self._age_sd = np.sqrt(np.where(counted_in, alone[:, 0, 0], both[:, 0, 0]))
        self._fruit_sd = np.exp(np.where(counted_in, log_sd - moved[:, 1], log_sd))
        self._z = np.empty(len(question.checks))
        for likelihood, numbers in self._checks.kinds:
            self._z[numbers] = likelihood.off_by(
                np.arange(numbers.size),
                self._age[numbers],
                self._age_sd[numbers],
                self._fruit_sd[numbers],
            )

        self._ahead = np.empty(len(question.checks))
        for likelihood, numbers in self._checks.kinds:
            every = np.arange(numbers.size)
            age = self._age[numbers]
            self._ahead[numbers] = likelihood.seeming_age(every, age) - age
        factor = np.exp(posterior.mode.shared[looking.own[:, 0]])
        self._pace = factor * _pace_per_day(question, travel)

    def surprising(self) -> tuple[str, ...]:
        """Ids of the counted checks that contradict everything else, the worst first."""
        off = np.abs(self._z[: self._question.counted])
        order = np.argsort(-off, kind="stable")
        beyond = order[off[order] > SURPRISING_Z]
        return tuple(self._question.checks[n].id for n in beyond.tolist())

    def fit_of(self, number: int) -> CheckFit:
        """The fit of one check."""
        likelihood, at = next(
            (likelihood, int(np.searchsorted(numbers, number)))
            for likelihood, numbers in self._checks.kinds
            if number in numbers
        )
        age, age_sd = float(self._age[number]), float(self._age_sd[number])
        fruit_sd = float(self._fruit_sd[number])
        check = self._question.checks[number]
        kind, from_feel = CheckKind.READINGS, None
        if isinstance(likelihood, FeltChecks):
            kind = CheckKind.FEEL
            from_feel, observed, expected = felt(likelihood, at, age, age_sd, fruit_sd)
        else:
            assert isinstance(likelihood, ReadChecks)
            observed, expected = read(likelihood, at, age, age_sd, fruit_sd)
        return CheckFit(
            check_id=check.id,
            batch_id=check.batch_id,
            kind=kind,
            counted=check.counted,
            from_feel=from_feel,
            observed=observed,
            expected=expected,
            z=float(self._z[number]),
            pull=float(self._pull[number]),
            ahead_days=float(self._ahead[number] / self._pace[number]),
        )


def _pace_per_day(question: Asked, travel: Travel) -> Floats:
    """Age that each check's batch gains in the day after it, by the book; never nothing."""
    line, at_h = question.line_of_check, question.at_h[:, None]
    ageing = travel.ageing.of(line)
    days = (ageing.at(at_h + 24.0) - ageing.at(at_h))[:, 0]
    return np.asarray(travel.batches.rate_per_day[line] * np.maximum(days, _LEAST_DAYS))


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
    checks: FeltChecks, at: int, age: float, age_sd: float, fruit_sd: float
) -> tuple[int, float, Estimate]:
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
    low, mid, high = checks.share_softer(at, number, ages, fruit_sd).tolist()
    by_chance = TAIL_80 * float(np.sqrt(max(mid * (1.0 - mid), 0.25 / fruit) / fruit))
    expected = Estimate(
        max(mid - float(np.hypot(mid - low, by_chance)), 0.0),
        mid,
        min(mid + float(np.hypot(high - mid, by_chance)), 1.0),
    )
    return number + 1, float(counts[number + 1 :].sum() / fruit), expected


def read(
    checks: ReadChecks, at: int, age: float, age_sd: float, fruit_sd: float
) -> tuple[float, Estimate]:
    """Of one check by gauge: the mean firmness seen and expected (N)."""
    ages = np.array([age + TAIL_80 * age_sd, age, age - TAIL_80 * age_sd])
    same: Floats = np.full(3, fruit_sd)
    mean, variance, error2 = checks.moments(np.full(3, at, dtype=np.intp), ages, same)
    low, mid, high = mean.tolist()
    of_mean = (variance[1] + error2[1]) / checks.number[at] + SHARED_ERROR**2 * error2[1]
    by_chance = TAIL_80 * float(np.sqrt(of_mean))
    expected = Estimate(
        mid - float(np.hypot(mid - low, by_chance)),
        mid,
        mid + float(np.hypot(high - mid, by_chance)),
    )
    return float(checks.mean_n[at]), expected

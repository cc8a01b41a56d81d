"""Each check beside what all others made one expect of it."""

from collections.abc import Mapping

import numpy as np
from scipy.special import ndtr

from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.learning.farm import Farm
from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.gauge import SHARED_ERROR, ReadChecks
from ripenroom.science.learning.posterior import Posterior
from ripenroom.science.learning.seen import Looking, Seen
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.learning.asked import Asked
from ripenroom.season.learning.learned import SURPRISING_Z, CheckFit, CheckKind, Estimate
from ripenroom.season.outlook import Travel

_LEAST_LEFT = 0.02
"""Part of what is known of a batch's age then that other checks make up, at least."""


class CheckFits:
    """All checks of a question against its posterior.

    With ``v`` the variance of the mean age at a check, ``w`` minus the curvature of the check's log
    likelihood and ``g`` its slope, without the check the age would lie ``v g / (1 - w v)`` lower
    and have the variance ``v / (1 - w v)``, and the check is ``g / sqrt(w (1 - w v))`` sds off; a
    check that does not count is off by ``g / sqrt(w (1 + w v))``.
    """

    def __init__(
        self,
        question: Asked,
        posterior: Posterior,
        travel: Travel,
        constants: Mapping[str, CropConstants],
    ) -> None:
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
        lam_lam, lam_eps = of[:, 1, 1], of[:, 1, 2]
        log_log = lam_lam + slope * (2.0 * lam_eps + slope * of[:, 2, 2])
        age_log = of[:, 0, 1] + slope * of[:, 0, 2]
        variance = of[:, 0, 0] + gain * (2.0 * age_log + gain * log_log)
        curve = np.maximum(-here.xx, 1e-3)
        kept_in = np.arange(len(question.checks)) < question.counted
        rest = np.where(
            kept_in, np.maximum(1.0 - curve * variance, _LEAST_LEFT), 1.0 + curve * variance
        )
        self._z = here.x / np.sqrt(curve * rest)
        with_lam = of[:, 0, 1] + gain * (lam_lam + slope * lam_eps)
        self._pull = with_lam * here.x / rest
        age = posterior.mode.age[question.every.harvest] + gain
        self._age = np.where(kept_in, age - variance * here.x / rest, age)
        self._age_sd = np.sqrt(np.where(kept_in, variance / rest, variance))
        tau = posterior.mode.shared[looking.own[:, 2]]
        self._fruit_sd = farm.harvests.fruit_sd[question.every.harvest] * np.exp(tau)

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
        )


def felt(
    checks: FeltChecks, at: int, age: float, age_sd: float, fruit_sd: float
) -> tuple[int, float, Estimate]:
    """Of one check by feel: from which feel on fruit is counted, the share seen, and expected.

    It is the feel whose firm end lies nearest to the expected mean age. The range holds the doubt
    about the age, the hand's error, and the chance in so many fruit.
    """
    edges, counts = checks.walls[at, 1:-1], checks.counts[at]
    number = int(np.argmin(np.abs(edges - age)))
    edge, fruit = float(edges[number]), float(counts.sum())
    sd = float(np.hypot(age_sd, checks.judgement_sd[at]))
    ages = np.array([age - TAIL_80 * sd, age, age + TAIL_80 * sd])
    low, mid, high = (checks.ripens[at] * ndtr((ages - edge) / fruit_sd)).tolist()
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

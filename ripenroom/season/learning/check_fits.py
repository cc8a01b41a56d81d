"""Each check beside what all others made one expect of it, by its record."""

import numpy as np

from ripenroom.science.learning.check_fit import against_others, felt, rate_factors, read
from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.gauge import ReadChecks
from ripenroom.science.learning.posterior import Posterior
from ripenroom.science.outlook import BatchAgeing
from ripenroom.science.softening import Floats
from ripenroom.season.learned import SURPRISING_Z, CheckFit, CheckKind, Estimate
from ripenroom.season.learning.input import LearningInput

_LEAST_DAYS = 1e-3
"""Reference days in a day, at least: in the coldest room fruit ages by a hundredth."""


class CheckFits:
    """All checks of a question against its posterior."""

    def __init__(self, question: LearningInput, posterior: Posterior, travel: BatchAgeing) -> None:
        self._question = question
        self._found = against_others(posterior, question.every, question.counted)
        factor = rate_factors(posterior, question.every)
        self._pace = factor * _pace_per_day(question, travel)

    def surprising(self) -> tuple[str, ...]:
        """Ids of the counted checks that contradict everything else, the worst first."""
        off = np.abs(self._found.z[: self._question.counted])
        order = np.argsort(-off, kind="stable")
        beyond = order[off[order] > SURPRISING_Z]
        return tuple(self._question.checks[n].id for n in beyond.tolist())

    def fit_of(self, number: int) -> CheckFit:
        """The fit of one check."""
        likelihood, at = next(
            (likelihood, int(np.searchsorted(numbers, number)))
            for likelihood, numbers in self._question.every.kinds
            if number in numbers
        )
        found, check = self._found, self._question.checks[number]
        age, age_sd = float(found.age[number]), float(found.age_sd[number])
        fruit_sd, able = float(found.fruit_sd[number]), float(found.able[number])
        kind, from_feel = CheckKind.READINGS, None
        if isinstance(likelihood, FeltChecks):
            kind = CheckKind.FEEL
            from_feel, expected = felt(likelihood, at, age, age_sd, fruit_sd, able)
        else:
            assert isinstance(likelihood, ReadChecks)
            expected = read(likelihood, at, age, age_sd, fruit_sd, able)
        return CheckFit(
            check_id=check.id,
            batch_id=check.batch_id,
            kind=kind,
            counted=check.counted,
            from_feel=from_feel,
            observed=expected.seen,
            expected=Estimate(expected.low, expected.mid, expected.high),
            z=float(found.z[number]),
            pull=float(found.pull[number]),
            ahead_days=float(found.ahead[number] / self._pace[number]),
        )


def _pace_per_day(question: LearningInput, travel: BatchAgeing) -> Floats:
    """Age that each check's batch gains in the day after it, by the book; never nothing."""
    line, at_h = question.line_of_check, question.at_h[:, None]
    ageing = travel.ageing.of(line)
    days = (ageing.at(at_h + 24.0) - ageing.at(at_h))[:, 0]
    return np.asarray(travel.batches.rate_per_day[line] * np.maximum(days, _LEAST_DAYS))

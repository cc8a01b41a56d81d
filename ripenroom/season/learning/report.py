"""From a posterior to what the window words and projections use."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property
from types import MappingProxyType
from typing import Generic, TypeVar

import numpy as np

from ripenroom.science.able_to_ripen import with_odds_times
from ripenroom.science.learning import batch_ages
from ripenroom.science.learning.check_fit import against_others, felt, rate_factors, read
from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.gauge import ReadChecks
from ripenroom.science.learning.posterior import Posterior
from ripenroom.science.outlook import BatchAgeing
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80
from ripenroom.season.belief import (
    AbleShift,
    AgePosterior,
    CultivarRate,
    FarmRate,
    LearnedPosterior,
    LifeShift,
)
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learned import (
    SURPRISING_Z,
    CheckFit,
    CheckKind,
    Estimate,
    Learned,
    LearnedBatch,
    LearnedLife,
    LearnedRate,
    LearnedShare,
)
from ripenroom.season.learning.input import LearningInput
from ripenroom.season.learning.priors import of_one_batch

_T = TypeVar("_T")


class LazyByBatch(Mapping[str, _T], Generic[_T]):
    """A mapping from ids to what ``make`` makes of their line."""

    def __init__(self, ids: Sequence[str], make: Callable[[int], _T]) -> None:
        self._line_of = {key: line for line, key in enumerate(ids)}
        self._make = make

    def __getitem__(self, key: str) -> _T:
        return self._make(self._line_of[key])

    def __contains__(self, key: object) -> bool:
        return key in self._line_of

    def __iter__(self) -> Iterator[str]:
        return iter(self._line_of)

    def __len__(self) -> int:
        return len(self._line_of)


_LEAST_DAYS = 1e-3
"""Reference days in a day, at least: in the coldest room fruit ages by a hundredth."""


class CheckFits:
    """All checks of a question against its posterior."""

    def __init__(self, question: LearningInput, posterior: Posterior, travel: BatchAgeing) -> None:
        self._question, self._posterior, self._travel = question, posterior, travel
        self._found = against_others(posterior, question.every, question.counted)

    @cached_property
    def _pace(self) -> Floats:
        """Age that each check's batch gains in the day after it; asked for by who lists checks."""
        factor = rate_factors(self._posterior, self._question.every)
        return factor * _pace_per_day(self._question, self._travel)

    def surprising(self) -> tuple[str, ...]:
        """Ids of the counted checks that contradict everything else, the worst first."""
        off = np.abs(self._found.z[: self._question.counted])
        order = np.argsort(-off, kind="stable")
        beyond = order[off[order] > SURPRISING_Z]
        return tuple(self._question.checks[n].id for n in beyond.tolist())

    def at_odds(self) -> frozenset[tuple[str, bool]]:
        """Ids of all checks that contradict everything else, and whether fruit was softer."""
        z = self._found.z
        beyond = np.flatnonzero(np.abs(z) > SURPRISING_Z)
        return frozenset((self._question.checks[n].id, bool(z[n] > 0.0)) for n in beyond.tolist())

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


_OWN_SPREAD_SD = 0.15
"""Sd of the log of how much more fruit of one batch differ than its pick and cultivar tell."""


def reported(
    question: LearningInput,
    posterior: Posterior,
    travel: BatchAgeing,
    lives: Mapping[CropKind, tuple[LifeShift, LearnedLife]],
    at_h: float,
    kept: object,
) -> Learned:
    """What was learned, as on ``at_h`` (h); ``lives`` of how long ripe fruit lasts."""
    fits = CheckFits(question, posterior, travel)
    with_checks = np.bincount(
        question.farm.checks.harvest, minlength=len(question.harvest_ids)
    ).astype(np.intp)
    return Learned(
        at_h=at_h,
        rates=_rates(question, posterior, with_checks),
        shares=tuple(_shares(question, posterior, with_checks)),
        lives=tuple(life for _, life in lives.values()),
        batches=_batches(question, posterior, with_checks),
        checks=LazyByBatch([check.id for check in question.checks], fits.fit_of),
        surprising=fits.surprising(),
        at_odds=fits.at_odds(),
        unlearnable=question.unlearnable,
        belief=_belief(question, posterior, with_checks, lives),
        kept=kept,
    )


def factor_range(log: float, sd: float) -> Estimate:
    """A factor whose log is Normal, with its 80 % range."""
    return Estimate(*batch_ages.factor_range(log, sd))


def _rates(
    question: LearningInput, posterior: Posterior, with_checks: np.ndarray
) -> tuple[LearnedRate, ...]:
    farm = question.farm
    prior_mean, prior_sd = farm.prior()[0], farm.prior_sd()
    sd = np.sqrt(np.diag(posterior.arrow.tip_covariance))
    cultivar = farm.harvests.cultivar
    number = len(question.kinds.cultivar_keys)
    checks = np.bincount(cultivar, with_checks, number).astype(int)
    batches = np.bincount(cultivar, with_checks > 0, number).astype(int)
    found = []
    for n, (kind, cultivar_id) in enumerate(question.kinds.cultivar_keys):
        if kind.group is not None and cultivar_id is None:
            continue  # only a cultivar says that fruit is of a group
        cultivar_rate, log_spread = farm.cultivar_rate.start + n, farm.log_spread.start + n
        book = factor_range(prior_mean[cultivar_rate], prior_sd[cultivar_rate])
        mean = posterior.mean.shared
        found.append(
            LearnedRate(
                crop=kind.crop,
                cultivar_id=cultivar_id,
                factor=factor_range(mean[cultivar_rate], sd[cultivar_rate]),
                book=book.mid,
                book_low=book.low,
                book_high=book.high,
                spread=factor_range(mean[log_spread], sd[log_spread]),
                checks=int(checks[n]),
                batches=int(batches[n]),
                taught_by=question.kinds.taught_by[n],
                log_rate=float(mean[cultivar_rate]),
                log_rate_sd=float(sd[cultivar_rate]),
                book_log_rate=float(prior_mean[cultivar_rate]),
                book_log_rate_sd=float(prior_sd[cultivar_rate]),
                group=kind.group,
                group_log_rate=question.kinds.beside_crop[farm.cultivars.crop[n]],
            )
        )
    return tuple(found)


def _shares(
    question: LearningInput, posterior: Posterior, with_checks: np.ndarray
) -> Iterator[LearnedShare]:
    farm = posterior.farm
    able_sd = farm.crops.able_sd
    sd = able_sd * np.sqrt(np.diag(posterior.arrow.tip_covariance)[farm.able_offset])
    as_picked = np.array([own is None for own in question.begins.believed], dtype=bool)
    of = farm.cultivars.crop[farm.harvests.cultivar]
    for n, kind in enumerate(question.kinds.crop_kinds):
        own = (of == n) & as_picked & (with_checks > 0)
        if not able_sd[n] or not own.any():
            continue
        log_odds = able_sd[n] * posterior.mean.shared[farm.able_offset.start + n]
        book = question.begins.ripens[own]
        at = log_odds + TAIL_80 * sd[n] * np.array([-1.0, 0.0, 1.0])
        low, mid, high = with_odds_times(book[:, None], np.exp(at)).mean(axis=0).tolist()
        yield LearnedShare(kind.crop, kind.group, Estimate(low, mid, high), float(book.mean()))


def _batches(
    question: LearningInput, posterior: Posterior, with_checks: np.ndarray
) -> LazyByBatch[LearnedBatch]:
    mean = posterior.mean
    sd = np.sqrt(posterior.arrow.covariances[:, 0, 0])
    fruit_sd = batch_ages.fruit_sds(posterior)
    of_batch = [
        (batch.id, n)
        for n, own in enumerate(question.members)
        if with_checks[n] and question.begins.believed[n] is None
        for batch in own
    ]

    def make(line: int) -> LearnedBatch:
        batch_id, n = of_batch[line]
        return LearnedBatch(
            batch_id=batch_id,
            mean_age=float(mean.age[n]),
            mean_age_sd=float(sd[n]),
            fruit_sd=float(fruit_sd[n]),
            checks=int(with_checks[n]),
        )

    return LazyByBatch([batch_id for batch_id, _ in of_batch], make)


def _belief(
    question: LearningInput,
    posterior: Posterior,
    with_checks: np.ndarray,
    lives: Mapping[CropKind, tuple[LifeShift, LearnedLife]],
) -> LearnedPosterior:
    farm, mean = question.farm, posterior.mean
    shared = posterior.arrow.tip_covariance
    own = farm.own()
    slope_sd = np.array(question.kinds.slope_sd, dtype=float)
    paces = {}
    for n, key in enumerate(question.kinds.cultivar_keys):
        cultivar_rate, slope_offset, log_spread, _ = own[n]
        kj_mol = float(slope_sd[farm.cultivars.crop[n]])
        paces[key] = CultivarRate(
            log_rate=float(mean.shared[cultivar_rate]),
            log_rate_sd=float(np.sqrt(shared[cultivar_rate, cultivar_rate])),
            slope_sd=kj_mol * float(np.sqrt(shared[slope_offset, slope_offset])),
            rate_slope=kj_mol * float(shared[cultivar_rate, slope_offset]),
            spread=float(np.exp(mean.shared[log_spread])),
            spread_sd=float(np.hypot(np.sqrt(shared[log_spread, log_spread]), _OWN_SPREAD_SD)),
        )
    shifts = slope_sd * mean.shared[farm.slope_offset]
    slope_shift = dict(zip(question.kinds.crop_kinds, shifts.tolist(), strict=True))
    return LearnedPosterior(
        paces=MappingProxyType(paces),
        slope_shift_kj_mol=MappingProxyType(slope_shift),
        ages=MappingProxyType(_ages(question, posterior, with_checks, slope_sd)),
        farms=MappingProxyType(_farms(question, posterior)),
        able=MappingProxyType(able_shifts(question, posterior)),
        lives=MappingProxyType({kind: shift for kind, (shift, _) in lives.items()}),
    )


def able_shifts(question: LearningInput, posterior: Posterior) -> dict[CropKind, AbleShift]:
    """By how much more fruit of each kind that was checked can ripen than the book says, where the
    book leaves that open."""
    farm = posterior.farm
    sd = farm.crops.able_sd
    mean = sd * posterior.mean.shared[farm.able_offset]
    left = sd * np.sqrt(np.diag(posterior.arrow.tip_covariance)[farm.able_offset])
    checked = farm.cultivars.crop[farm.harvests.cultivar[farm.checks.harvest]]
    return {
        question.kinds.crop_kinds[n]: AbleShift(float(mean[n]), float(of_one_batch(sd[n], left[n])))
        for n in np.unique(checked).tolist()
        if sd[n]
    }


def _farms(question: LearningInput, posterior: Posterior) -> dict[CropKind, FarmRate]:
    farm = question.farm
    columns = np.column_stack(
        [
            posterior.mean.shared,
            np.sqrt(np.diag(posterior.arrow.tip_covariance)),
            farm.prior()[0],
            farm.prior_sd(),
        ]
    )[farm.crop_rate]
    return {
        key: FarmRate(*row)
        for key, row in zip(question.kinds.crop_kinds, columns.tolist(), strict=True)
    }


def _ages(
    question: LearningInput, posterior: Posterior, with_checks: np.ndarray, slope_sd: Floats
) -> dict[str, AgePosterior]:
    farm, begins = question.farm, question.begins
    own = batch_ages.at_pick(posterior, begins.days, begins.slope_days, slope_sd)
    kj_mol = slope_sd[farm.cultivars.crop[farm.harvests.cultivar]]
    columns = np.column_stack(
        [
            own.age,
            np.sqrt(np.maximum(own.variance, 0.0)),
            batch_ages.fruit_sds(posterior),
            own.with_log_rate,
            kj_mol * own.with_slope,
            question.known_h,
        ]
    ).tolist()
    found = {}
    for n, members in enumerate(question.members):
        sorted_out = question.begins.believed[n]
        if not with_checks[n] and sorted_out is None:
            continue
        for batch in members:
            kind = question.kind_of[batch.id]
            known = AgePosterior(batch, kind, *columns[n])
            if sorted_out is not None:
                known = known._replace(
                    ripens=sorted_out.ripens,
                    bands=sorted_out.bands,
                    squeezed=bool(with_checks[n]),
                )
            found[batch.id] = known
    return found

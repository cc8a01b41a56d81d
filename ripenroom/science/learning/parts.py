"""A farm taken apart into crops: they have no unknown in common, so each is learned by itself."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Likelihood
from ripenroom.science.learning.model import (
    CheckColumns,
    CropUnknowns,
    CultivarUnknowns,
    FarmModel,
    HarvestUnknowns,
    LessonEvidence,
)


@dataclass(frozen=True, slots=True)
class FarmPart:
    """One crop of a farm as a farm; which unknowns, harvests and checks of the whole it has."""

    farm: FarmModel
    shared: Indices
    harvests: Indices
    checks: Indices


def parts_of(farm: FarmModel) -> list[FarmPart]:
    """Every crop of a farm, in order."""
    return [_part(farm, crop) for crop in range(farm.crops.rate.size)]


def same_farm(one: FarmModel, other: FarmModel) -> bool:
    """Whether all that is learned from is the same to the bit."""
    pairs = zip(_told(one), _told(other), strict=False)
    return one.checks.days.size == other.checks.days.size and all(
        np.array_equal(*pair) for pair in pairs
    )


def _told(farm: FarmModel) -> Iterator[npt.NDArray[np.generic]]:
    """All that is learned from; cheap and telling tables first."""
    crops, cultivars, told, harvests = farm.crops, farm.cultivars, farm.told, farm.harvests
    yield from (crops.rate, crops.log_mean, crops.log_sd, crops.able_sd)
    yield from (cultivars.crop, cultivars.log_mean, cultivars.log_sd)
    yield from (told.cultivar, told.log_rate, told.log_sd)
    yield from (harvests.cultivar, harvests.age, harvests.age_sd, harvests.fruit_sd)
    yield from (farm.checks.harvest, farm.checks.days, farm.checks.slope)
    for likelihood, numbers in farm.checks.kinds:
        yield from (numbers, likelihood.content())


def _part(farm: FarmModel, crop: int) -> FarmPart:
    crops, cultivars, told, whole = farm.crops, farm.cultivars, farm.told, farm.harvests
    own_cultivars = np.flatnonzero(cultivars.crop == crop)
    harvests = np.flatnonzero(cultivars.crop[whole.cultivar] == crop)
    checks = np.flatnonzero(cultivars.crop[whole.cultivar[farm.checks.harvest]] == crop)
    lessons = np.flatnonzero(cultivars.crop[told.cultivar] == crop)
    cultivar_number = _numbered(own_cultivars, cultivars.crop.size)
    here = slice(crop, crop + 1)
    everything = np.arange(farm.shared)
    part = FarmModel(
        CropUnknowns(
            crops.rate[here], crops.log_mean[here], crops.log_sd[here], crops.able_sd[here]
        ),
        CultivarUnknowns(
            np.zeros(own_cultivars.size, np.intp),
            cultivars.log_mean[own_cultivars],
            cultivars.log_sd[own_cultivars],
        ),
        LessonEvidence(
            cultivar_number[told.cultivar[lessons]], told.log_rate[lessons], told.log_sd[lessons]
        ),
        HarvestUnknowns(
            cultivar_number[whole.cultivar[harvests]],
            whole.age[harvests],
            whole.age_sd[harvests],
            whole.fruit_sd[harvests],
        ),
        CheckColumns(
            _numbered(harvests, whole.age.size)[farm.checks.harvest[checks]],
            farm.checks.days[checks],
            farm.checks.slope[checks],
            tuple(_kinds_of(farm.checks, checks)),
        ),
    )
    shared = [
        everything[farm.crop_rate][here],
        everything[farm.slope_offset][here],
        everything[farm.cultivar_rate][own_cultivars],
        everything[farm.log_spread][own_cultivars],
        everything[farm.able_offset][here],
    ]
    return FarmPart(part, np.concatenate(shared), harvests, checks)


def _kinds_of(checks: CheckColumns, some: Indices) -> Iterator[tuple[Likelihood, Indices]]:
    """The likelihoods of some checks, with their numbers among these."""
    number = _numbered(some, checks.days.size)
    for likelihood, numbers in checks.kinds:
        mine = np.flatnonzero(number[numbers] >= 0)
        if mine.size:
            yield likelihood.some(mine), number[numbers[mine]]


def _numbered(some: Indices, of: int) -> Indices:
    """The place of each number among ``some``; -1 of the others."""
    numbers = np.full(of, -1, dtype=np.intp)
    numbers[some] = np.arange(some.size)
    return numbers

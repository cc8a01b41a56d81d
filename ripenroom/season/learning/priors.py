"""What is believed of crops and cultivars before any check of this season."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.lesson import Lesson
from ripenroom.science.learning.farm import Crops, Cultivars, Told
from ripenroom.season.crop_constants import CropConstants

_OWN_SHARE = 1.0 / 3.0
"""Part of the doubt about a crop's speed (as a variance) that is each cultivar's own; the rest,
soil, weather and how the book was made, all cultivars of the farm share (an estimate)."""

_LEAST_RATE_SD = 0.01
"""Sd of the log below which no speed is known, however narrow a range a crop was given: fruit
differs by more, and a speed without any doubt could not be learned of (an estimate)."""

_OTHER_SEASON_SD = 0.1
"""Sd of the log by which one season's speed differs from another's (an estimate)."""


@dataclass(frozen=True, slots=True)
class Kinds:
    """The crops that anything is to be learned of, and their cultivars; the number of each.

    Every crop has a cultivar None, fruit whose cultivar was not noted. ``taught_by`` names the
    seasons whose lessons bear on each cultivar.
    """

    crop_keys: tuple[str, ...]
    cultivar_keys: tuple[tuple[str, str | None], ...]
    crops: Crops
    cultivars: Cultivars
    told: Told
    slope_sd: tuple[float, ...]
    taught_by: tuple[tuple[str, ...], ...]


def kinds(book: Book, crop_keys: Sequence[str], constants: Mapping[str, CropConstants]) -> Kinds:
    """Crops and their cultivars with what the book and lessons say of them."""
    crops = [constants[key] for key in crop_keys]
    number = {key: n for n, key in enumerate(crop_keys)}
    lessons = sorted(
        (lesson for lesson in book.lessons.values() if lesson.crop in number), key=lambda x: x.id
    )
    keys: list[tuple[str, str | None]] = []
    own_log: list[float] = []
    told: list[tuple[int, Lesson]] = []
    taught_by: list[tuple[str, ...]] = []
    for crop in crop_keys:
        of_crop = [lesson for lesson in lessons if lesson.crop == crop]
        general = [lesson for lesson in of_crop if lesson.cultivar is None]
        named = sorted((c.name, c.id) for c in book.cultivars.values() if c.crop == crop)
        for name, cultivar_id in [("", None), *named]:
            own = [x for x in of_crop if x.cultivar and x.cultivar.casefold() == name.casefold()]
            told += [(len(keys), lesson) for lesson in own]
            taught_by.append(tuple(dict.fromkeys(x.taught_by for x in [*own, *general])))
            keys.append((crop, cultivar_id))
            factor = book.cultivars[cultivar_id].rate_factor if cultivar_id is not None else 1.0
            own_log.append(math.log(factor))
    of_farm = [
        _with_lessons(constants[key], [x for x in lessons if x.crop == key and x.cultivar is None])
        for key in crop_keys
    ]
    crop_of = np.array([number[crop] for crop, _ in keys], dtype=np.intp)
    rate_sd = np.array([_rate_sd(crop) for crop in crops], dtype=float)
    return Kinds(
        crop_keys=tuple(crop_keys),
        cultivar_keys=tuple(keys),
        crops=Crops(
            np.array([crop.rate_per_day for crop in crops], dtype=float),
            np.array([mean for mean, _ in of_farm], dtype=float),
            np.array([sd for _, sd in of_farm], dtype=float),
        ),
        cultivars=Cultivars(
            crop_of, np.array(own_log, dtype=float), math.sqrt(_OWN_SHARE) * rate_sd[crop_of]
        ),
        told=Told(
            np.array([line for line, _ in told], dtype=np.intp),
            np.array([lesson.log_rate for _, lesson in told], dtype=float),
            np.array([_doubt(lesson) for _, lesson in told], dtype=float),
        ),
        slope_sd=tuple(crop.slope_sd for crop in crops),
        taught_by=tuple(taught_by),
    )


def _with_lessons(crop: CropConstants, lessons: Sequence[Lesson]) -> tuple[float, float]:
    """Mean and sd of the log of a crop's factor on this farm, from the book and from lessons."""
    weight = 1.0 / ((1.0 - _OWN_SHARE) * _rate_sd(crop) ** 2)
    pull = 0.0
    for lesson in lessons:
        own = _doubt(lesson) ** -2
        weight += own
        pull += own * lesson.log_rate
    return pull / weight, weight**-0.5


def _rate_sd(crop: CropConstants) -> float:
    """Sd of the log of a crop's speed before any check."""
    return max(crop.rate_sd, _LEAST_RATE_SD)


def _doubt(lesson: Lesson) -> float:
    """Sd of what a lesson says of this season."""
    return math.hypot(lesson.log_rate_sd, _OTHER_SEASON_SD)

"""What is believed of crops and cultivars before any check of this season."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.check import Lesson
from ripenroom.science.learning.batch_ages import put_together
from ripenroom.science.learning.model import CropUnknowns, CultivarUnknowns, LessonEvidence
from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.crop_kinds import CropKind

_OWN_SHARE = 1.0 / 3.0
"""Part of the doubt about a crop's speed (as a variance) that is each cultivar's own; the rest,
soil, weather and how the book was made, all cultivars of the farm share (an estimate). So it is
taken with how much can ripen, of which each batch has its own part."""

_LEAST_RATE_SD = 0.01
"""Sd of the log below which no speed is known, however narrow a range a crop was given: fruit
differs by more, and a speed without any doubt could not be learned of (an estimate)."""

_MOST_ABLE_SD = 1.5
"""Sd of the log of the odds that a fruit can ripen that is learned with, at most: with more, hard
fruit would be taken for fruit that never ripens wherever it is slower than expected (an estimate).
"""

_WARM_C = 20.0
"""Where speeds of a crop and of a group of it are compared: that of most sources."""

_OTHER_SEASON_SD = 0.1
"""Sd of the log by which one season's speed differs from another's (an estimate)."""


@dataclass(frozen=True, slots=True)
class LearningPriors:
    """The kinds of fruit that anything is to be learned of, and their cultivars; each one's number.

    A group with figures of its own learns by itself: how far those of its crop are off says nothing
    of them. Every kind has a cultivar None, fruit whose cultivar was not noted or came later.
    ``taught_by`` names the seasons whose lessons bear on each cultivar, and ``beside_crop`` says
    how many times as fast as its crop's a kind's figures are (natural logarithm).
    ``ripe_life`` has mean and sd of the log of how many times as long as by its profile ripe fruit
    of a kind lasts, and ``life_taught_by`` names the seasons that told of it.
    """

    crop_kinds: tuple[CropKind, ...]
    cultivar_keys: tuple[tuple[CropKind, str | None], ...]
    crops: CropUnknowns
    cultivars: CultivarUnknowns
    told: LessonEvidence
    slope_sd: tuple[float, ...]
    taught_by: tuple[tuple[str, ...], ...]
    beside_crop: tuple[float, ...]
    ripe_life: tuple[tuple[float, float], ...]
    life_taught_by: tuple[tuple[str, ...], ...]

    @property
    def own_able_sd(self) -> Floats:
        """Sd of what is each batch's own in the log of the odds that its fruit can ripen, by kind,
        (kinds,)."""
        return of_one_batch(self.crops.able_sd, 0.0)


def kinds(
    book: Book, crop_kinds: Sequence[CropKind], constants: ConstantsOfCrops
) -> LearningPriors:
    """Kinds and their cultivars with what the book and lessons say of them."""
    figures = [constants[kind] for kind in crop_kinds]
    number = {kind: n for n, kind in enumerate(crop_kinds)}
    lessons = sorted(book.lessons.values(), key=lambda lesson: lesson.id)
    keys: list[tuple[CropKind, str | None]] = []
    own_log: list[float] = []
    told: list[tuple[int, Lesson, float]] = []
    taught_by: list[tuple[str, ...]] = []
    of_farm: list[tuple[float, float]] = []
    beside_crop = [_beside_crop(kind, constants) for kind in crop_kinds]
    for kind, own_figures, beside in zip(crop_kinds, figures, beside_crop, strict=True):
        of_crop = [lesson for lesson in lessons if lesson.crop == kind.crop]
        general = [x for x in of_crop if x.cultivar is None and kind.group is None]
        of_farm.append(_with_lessons(own_figures, general))
        named = sorted(
            (c.name, c.id)
            for c in book.cultivars.values()
            if constants.kind_of(c.crop, c.id, book) == kind
        )
        for name, cultivar_id in [("", None), *named]:
            own = [x for x in of_crop if x.cultivar and x.cultivar.casefold() == name.casefold()]
            told += [(len(keys), lesson, lesson.log_rate - beside) for lesson in own]
            taught_by.append(tuple(dict.fromkeys(x.taught_by for x in [*own, *general])))
            keys.append((kind, cultivar_id))
            factor = book.cultivars[cultivar_id].rate_factor if cultivar_id is not None else 1.0
            own_log.append(math.log(factor))
    kind_of = np.array([number[kind] for kind, _ in keys], dtype=np.intp)
    rate_sd = np.array([_rate_sd(own) for own in figures], dtype=float)
    of_life = [_of_ripe_life(kind, lessons) for kind in crop_kinds]
    ripe_life = [
        put_together(own.ripe_life_sd**2, map(_of_this_season, told_of.values()))
        if own.ripe_life_sd
        else (0.0, 0.0)
        for own, told_of in zip(figures, of_life, strict=True)
    ]
    return LearningPriors(
        crop_kinds=tuple(crop_kinds),
        cultivar_keys=tuple(keys),
        crops=CropUnknowns(
            np.array([own.rate_per_day for own in figures], dtype=float),
            np.array([mean for mean, _ in of_farm], dtype=float),
            np.array([sd for _, sd in of_farm], dtype=float),
            math.sqrt(1.0 - _OWN_SHARE)
            * np.array([min(own.ripens_sd, _MOST_ABLE_SD) for own in figures], dtype=float),
        ),
        cultivars=CultivarUnknowns(
            kind_of, np.array(own_log, dtype=float), math.sqrt(_OWN_SHARE) * rate_sd[kind_of]
        ),
        told=LessonEvidence(
            np.array([line for line, _, _ in told], dtype=np.intp),
            np.array([log_rate for _, _, log_rate in told], dtype=float),
            np.array([_doubt(lesson) for _, lesson, _ in told], dtype=float),
        ),
        slope_sd=tuple(own.slope_sd for own in figures),
        taught_by=tuple(taught_by),
        beside_crop=tuple(beside_crop),
        ripe_life=tuple(ripe_life),
        life_taught_by=tuple(tuple(told_of) for told_of in of_life),
    )


def _beside_crop(kind: CropKind, constants: ConstantsOfCrops) -> float:
    """Log of how many times as fast as its crop's a kind's figures are, at 20 C."""
    if kind.group is None:
        return 0.0
    own, whole = (
        one.rate_per_day * float(one.response.relative_rate(np.array(_WARM_C)))
        for one in (constants[kind], constants[CropKind(kind.crop)])
    )
    return math.log(own / whole)


def _with_lessons(crop: CropConstants, lessons: Sequence[Lesson]) -> tuple[float, float]:
    """Mean and sd of the log of a crop's factor on this farm, from the book and from lessons."""
    by_the_book = (1.0 - _OWN_SHARE) * _rate_sd(crop) ** 2
    return put_together(by_the_book, ((one.log_rate, _doubt(one)) for one in lessons))


def _of_ripe_life(kind: CropKind, lessons: Sequence[Lesson]) -> dict[str, tuple[float, float]]:
    """What each season told of how long a kind's ripe fruit lasts, by its name: mean and sd of a
    log. All lessons of one season tell the same of a crop; of a group none does."""
    return {
        lesson.taught_by: (lesson.log_life, lesson.log_life_sd)
        for lesson in lessons
        if lesson.crop == kind.crop and kind.group is None
        if lesson.log_life is not None and lesson.log_life_sd is not None
    }


def _of_this_season(told: tuple[float, float]) -> tuple[float, float]:
    """What another season told of a log, with the doubt whether this one is like it."""
    mean, sd = told
    return mean, math.hypot(sd, _OTHER_SEASON_SD)


def of_one_batch(able_sd: FloatsLike, shared_sd: FloatsLike) -> Floats:
    """Sd of the log of the odds that a fruit of one batch can ripen, where what all batches share
    is known to ``shared_sd``, and was to ``able_sd`` before any check."""
    own_sd = np.asarray(able_sd, float) * math.sqrt(_OWN_SHARE / (1.0 - _OWN_SHARE))
    return np.hypot(shared_sd, own_sd)


def _rate_sd(crop: CropConstants) -> float:
    """Sd of the log of a crop's speed before any check."""
    return max(crop.rate_sd, _LEAST_RATE_SD)


def _doubt(lesson: Lesson) -> float:
    """Sd of what a lesson says of this season."""
    return math.hypot(lesson.log_rate_sd, _OTHER_SEASON_SD)

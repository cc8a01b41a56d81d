"""What a season taught, as other seasons may begin from it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.spread import TAIL_80
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.learned import LearnedRate

_LEAST_TOLD = 0.05
"""What adds less than this part to the precision of the book taught nothing worth keeping."""


@dataclass(frozen=True, slots=True)
class SharedLesson:
    """How fast one cultivar's fruit (or, for None, any of the crop) softened, from its checks only.

    ``log_rate`` is the natural logarithm of how many times as fast as ``per_day`` (age per day at
    ``reference_c``, C), the speed in the crop profile that it was learned with; ``log_rate_sd`` is
    its standard deviation.
    """

    crop: str
    cultivar: str | None
    log_rate: float
    log_rate_sd: float
    checks: int
    per_day: float
    reference_c: float


@dataclass(frozen=True, slots=True)
class SharedLessons:
    """All that one season taught; ``taught_by`` is its name."""

    taught_by: str
    lessons: tuple[SharedLesson, ...]


def lessons_of(
    book: Book, crops: Mapping[str, CropProfile], zone: ZoneInfo, now: datetime
) -> SharedLessons:
    """What the checks of a season taught, each cultivar's and each crop's.

    Lessons that the season itself began from are left out, and so is what the book says: whoever
    takes a lesson has a book too, and may have that other lesson as well. What the crop as a whole
    taught is told with more doubt than there is, since a new cultivar would differ.
    """
    learned = fit(replace(book, lessons={}), crops, zone, now)
    found: list[SharedLesson] = []
    for rate in learned.rates:
        of_crop = [other for other in learned.rates if other.crop == rate.crop]
        cultivar = book.cultivars.get(rate.cultivar_id or "")
        checks = rate.checks if cultivar else sum(other.checks for other in of_crop)
        told = _without_the_book(rate)
        if checks == 0 or told is None:
            continue
        speed = crops[rate.crop].rate
        found.append(
            SharedLesson(
                crop=rate.crop,
                cultivar=cultivar.name if cultivar else None,
                log_rate=told[0],
                log_rate_sd=told[1],
                checks=checks,
                per_day=speed.per_day.value,
                reference_c=speed.reference_c,
            )
        )
    return SharedLessons(book.season.name, tuple(found))


def _without_the_book(rate: LearnedRate) -> tuple[float, float] | None:
    """Log factor and its sd as the checks alone have them: the Normal that turned the book's into
    what is known now."""
    book_sd = math.log(rate.book_high / rate.book_low) / (2.0 * TAIL_80)
    before, after = book_sd**-2, rate.log_rate_sd**-2
    told = after - before
    if told < _LEAST_TOLD * before:
        return None
    return (after * rate.log_rate - before * math.log(rate.book)) / told, told**-0.5

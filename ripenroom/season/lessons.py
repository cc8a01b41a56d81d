"""What a season taught, as other seasons may begin from it."""

from dataclasses import dataclass
from pathlib import Path

from ripenroom.records.file import FileRefusal, SeasonFile
from ripenroom.records.limits import (
    Checks,
    CropKey,
    LogRate,
    LogRateSd,
    Name,
    PerDay,
    ReferenceC,
)
from ripenroom.records.refusal import Refusal
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.lessons import lessons_from
from ripenroom.season.own_crops import crops_of
from ripenroom.season.state import SeasonState
from ripenroom.season.zones import zone_of


@dataclass(frozen=True, slots=True)
class SharedLesson:
    """How fast one cultivar's fruit (for None: the crop's) softened, from the checks alone.

    ``log_rate`` is the natural logarithm of how many times as fast as ``per_day`` (age per day at
    ``reference_c``, C), the speed in the crop profile that it was learned with; ``log_rate_sd`` is
    its standard deviation.
    """

    crop: CropKey
    cultivar: Name | None
    log_rate: LogRate
    log_rate_sd: LogRateSd
    checks: Checks
    per_day: PerDay
    reference_c: ReferenceC


@dataclass(frozen=True, slots=True)
class SharedLessons:
    """All that one season taught; ``taught_by`` is its name."""

    taught_by: Name
    lessons: tuple[SharedLesson, ...]


def lessons_of(state: SeasonState) -> SharedLessons:
    """What the checks of a season taught, of each crop and each cultivar.

    What the book says and what the season itself began from is left out: whoever takes a lesson
    has a book too, and may have that other lesson as well. What was learned before only
    makes it faster.
    """
    found = []
    for lesson in lessons_from(fit(state), state.book):
        speed = state.crops[lesson.crop].rate
        found.append(
            SharedLesson(
                crop=lesson.crop,
                cultivar=lesson.cultivar,
                log_rate=lesson.log_rate,
                log_rate_sd=lesson.log_rate_sd,
                checks=lesson.checks,
                per_day=speed.per_day.value,
                reference_c=speed.reference_c,
            )
        )
    return SharedLessons(state.book.season.name, tuple(found))


def lessons_of_file(state: SeasonState, path: Path) -> SharedLessons:
    """What another season taught; its file is only read. Raises ``Refusal``."""
    try:
        file = SeasonFile.open(path, read_only=True)
    except FileRefusal as refusal:
        raise Refusal("", "{message}", message=refusal.message) from refusal
    try:
        book = file.read()
    except FileRefusal as refusal:
        raise Refusal("", "{message}", message=refusal.message) from refusal
    finally:
        file.close()
    if book.season.id == state.book.season.id:
        raise Refusal("", "That is this season itself: it learns from its own checks already.")
    checked = [check.at for check in book.checks.values()]
    now = max(checked, default=state.now)
    return lessons_of(SeasonState(book, crops_of(book).profiles, now, zone_of(book.season)))

"""What the checks of a season taught of its crops and cultivars, to begin another season with.

The other season's lessons are learned from its file, which is only read.
"""

from dataclasses import dataclass
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from ripenroom.records.book import Book
from ripenroom.records.check import Lesson, TreeLesson
from ripenroom.records.file import FileRefusal, SeasonFile
from ripenroom.records.limits import (
    Checks,
    CropKey,
    LogLife,
    LogLifeSd,
    LogRate,
    LogRateSd,
    Name,
    PerDay,
    ReferenceC,
    RipeLifeDays,
)
from ripenroom.records.refusal import Refusal
from ripenroom.science.learning.batch_ages import taken_apart
from ripenroom.season.belief import LifeShift
from ripenroom.season.crop_kinds import crops_of
from ripenroom.season.learned import Learned
from ripenroom.season.learning.fit import fit
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.texts import noted

_NOTHING_SD = 1.0
"""A lesson that is less sure than this, a factor of e either way, is none."""


def lessons_from(learned: Learned, book: Book) -> tuple[Lesson, ...]:
    """What the checks of this season taught about its crops and their cultivars.

    What was believed before them, by the book or from other seasons, is taken out again, so that
    lessons of several seasons can be used side by side. A lesson of the same season has the same
    id, whenever it is drawn. All are beside the crop's own speed, whatever group a cultivar is in:
    it may be in another one tomorrow.
    """
    if learned.belief is None:
        return ()
    found = []
    for kind, farm in learned.belief.farms.items():
        life = _told_of_life(learned.belief.lives.get(kind))
        of_kind = [rate for rate in learned.rates if (rate.crop, rate.group) == kind]
        told = taken_apart(
            farm.log_rate,
            farm.log_rate_sd,
            farm.book_log_rate,
            farm.book_log_rate_sd,
            _NOTHING_SD,
        )
        checks = sum(rate.checks for rate in of_kind)
        # What a group taught is of its own figures: it says nothing of the crop's.
        if told is not None and checks and kind.group is None:
            found.append(_lesson(book, kind.crop, None, told, checks, life))
        for rate in of_kind:
            cultivar = book.cultivars.get(rate.cultivar_id or "")
            if cultivar is None or not rate.checks:
                continue
            told = taken_apart(
                rate.log_rate,
                rate.log_rate_sd,
                rate.book_log_rate,
                rate.book_log_rate_sd,
                _NOTHING_SD,
            )
            if told is not None:
                told = told[0] + rate.group_log_rate, told[1]
                found.append(_lesson(book, kind.crop, cultivar.name, told, rate.checks, life))
    return tuple(found)


def _told_of_life(life: LifeShift | None) -> tuple[float, float] | None:
    """What this season's packings alone tell of how long ripe fruit lasts."""
    if life is None:
        return None
    return taken_apart(
        life.log_days, life.log_days_sd, life.book_log_days, life.book_log_days_sd, _NOTHING_SD
    )


def _lesson(
    book: Book,
    crop: str,
    cultivar: str | None,
    told: tuple[float, float],
    checks: int,
    life: tuple[float, float] | None,
) -> Lesson:
    name = f"{book.season.id}/{crop}/{(cultivar or '').casefold()}"
    return Lesson(
        id=str(uuid5(NAMESPACE_URL, name)),
        crop=crop,
        cultivar=cultivar,
        log_rate=told[0],
        log_rate_sd=told[1],
        checks=checks,
        taught_by=book.season.name,
        log_life=None if life is None else life[0],
        log_life_sd=None if life is None else life[1],
    )


@dataclass(frozen=True, slots=True)
class SharedLesson:
    """How fast one cultivar's fruit (for None: the crop's) softened, from the checks alone.

    ``log_rate`` is the natural logarithm of how many times as fast as ``per_day`` (age per day at
    ``reference_c``, C), the speed in the crop profile that it was learned with; ``log_rate_sd`` is
    its standard deviation. ``log_life`` and ``log_life_sd`` say the same of how many times as long
    as ``life_days`` (days at ``life_c``, C) ripe fruit of the crop lasted; all four are None where
    nothing was learned of that.
    """

    crop: CropKey
    cultivar: Name | None
    log_rate: LogRate
    log_rate_sd: LogRateSd
    checks: Checks
    per_day: PerDay
    reference_c: ReferenceC
    log_life: LogLife | None = None
    log_life_sd: LogLifeSd | None = None
    life_days: RipeLifeDays | None = None
    life_c: ReferenceC | None = None


@dataclass(frozen=True, slots=True)
class SharedLessons:
    """All that one season taught; ``taught_by`` is its name. ``trees`` are what its walks and picks
    taught of fruit on the tree."""

    taught_by: Name
    lessons: tuple[SharedLesson, ...]
    trees: tuple[TreeLesson, ...] = ()


def lessons_of(state: SeasonState) -> SharedLessons:
    """What the checks of a season taught, of each crop and each cultivar.

    What the book says and what the season itself began from is left out: whoever takes a lesson
    has a book too, and may have that other lesson as well. What was learned before only
    makes it faster.
    """
    found = []
    for lesson in lessons_from(fit(state), state.book):
        speed, life = state.crops[lesson.crop].rate, state.crops[lesson.crop].ripe_life
        if lesson.log_life is None:
            life = None
        found.append(
            SharedLesson(
                crop=lesson.crop,
                cultivar=lesson.cultivar,
                log_rate=lesson.log_rate,
                log_rate_sd=lesson.log_rate_sd,
                checks=lesson.checks,
                per_day=speed.per_day.value,
                reference_c=speed.reference_c,
                log_life=lesson.log_life,
                log_life_sd=lesson.log_life_sd,
                life_days=None if life is None else life.days.value,
                life_c=None if life is None else life.reference_c,
            )
        )
    return SharedLessons(state.book.season.name, tuple(found))


def lessons_of_file(state: SeasonState, path: Path) -> SharedLessons:
    """What another season taught; its file is only read. Raises ``Refusal``."""
    own = noted("That is this season itself, which learns from its own checks already.")
    book = other_book(path, state.book, own)
    checked = [check.at for check in book.checks.values()]
    now = max(checked, default=state.now)
    return lessons_of(SeasonState(book, crops_of(book).profiles, now, zone_of(book.season)))


def other_book(path: Path, own: Book, why_not_own: str) -> Book:
    """What a season file holds; raises ``Refusal`` where it cannot be read, or is the ``own``."""
    try:
        file = SeasonFile.open(path, read_only=True)
        try:
            book = file.read()
        finally:
            file.close()
    except FileRefusal as refusal:
        raise Refusal("", "{message}", message=refusal.message) from refusal
    if book.season.id == own.season.id:
        raise Refusal("", why_not_own)
    return book

"""What a season taught, to begin another with."""

from uuid import NAMESPACE_URL, uuid5

from ripenroom.records.book import Book
from ripenroom.records.lesson import Lesson
from ripenroom.science.learning.evidence import taken_apart
from ripenroom.season.learned import Learned

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
            found.append(_lesson(book, kind.crop, None, told, checks))
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
                found.append(_lesson(book, kind.crop, cultivar.name, told, rate.checks))
    return tuple(found)


def _lesson(
    book: Book, crop: str, cultivar: str | None, told: tuple[float, float], checks: int
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
    )

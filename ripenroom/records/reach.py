"""Refuses dates too far before or after the season's first day.

What is further off is a slip of the hand or no date at all, and every curve and plan would have to
reach there. A year before is enough for last year's wood and its thermometers; a season that takes
in two years is two seasons.
"""

from collections.abc import Iterable, Iterator
from dataclasses import fields
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any

from ripenroom.records.book import Book, Record
from ripenroom.records.declared import bare, hints_of
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.records.wording import what_is

BEFORE = timedelta(days=400)
AFTER = timedelta(days=800)


def require_within_reach(season: SeasonDetails, records: Iterable[Record]) -> None:
    """Raise :class:`Refusal` at the first field that lies too far from the season's first day."""
    for _, refusal in out_of_reach(season, records):
        raise refusal


def out_of_reach(
    season: SeasonDetails, records: Iterable[Record]
) -> Iterator[tuple[Record, Refusal]]:
    """The records that lie too far from the season's first day, each with why it is refused."""
    first, last = season.first_day - BEFORE, season.first_day + AFTER
    earliest, latest = _moment(first), _moment(last + timedelta(days=1))
    for record in records:
        kind: type = type(record)
        for name, is_moment in _dated(kind):
            at: Any = getattr(record, name)
            if at is None or (earliest <= at < latest if is_moment else first <= at <= last):
                continue
            yield record, _too_far(season, record, name, at)


def _too_far(season: SeasonDetails, record: Record, field: str, at: date) -> Refusal:
    return Refusal(
        field,
        "The date {at} ({what}) is too far from the season’s first day, {first}: at "
        "most {before} days before it or {after} days after it. Fix the date, or start "
        "another season for it.",
        at=at.date() if isinstance(at, datetime) else at,
        what=what_is(type(record)),
        first=season.first_day,
        before=BEFORE.days,
        after=AFTER.days,
    )


def beyond(book: Book) -> Iterator[tuple[Record, Refusal]]:
    """The records of a book, its season among them, that lie out of its season's reach."""
    return out_of_reach(book.season, (book.season, *book.records()))


def _moment(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


@cache
def _dated(kind: Any) -> tuple[tuple[str, bool], ...]:
    """The fields of a kind that hold a moment (True) or a day; the first day is what all go by."""
    hints = hints_of(kind)
    return tuple(
        (f.name, bare(hints[f.name]) is datetime)
        for f in fields(kind)
        if bare(hints[f.name]) in (date, datetime) and f.name != "first_day"
    )

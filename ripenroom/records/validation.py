"""Whether a record can be: one checker for every way in, by what its fields declare.

msgspec checks types and limits, in C; what several fields say together is checked by the rules of
:mod:`ripenroom.records.rules`. A record that is refused is refused at the first field that is
wrong, in the words that stand beside the field's limit (see :mod:`ripenroom.records.limits`).

Dates too far before or after the season's first day are refused too. What is further off is a slip
of the hand or no date at all, and every curve and plan would have to reach there. A year before is
enough for last year's wood and its thermometers; a season that takes in two years is two seasons.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any, TypeVar

import msgspec

from ripenroom.records.book import Book, Record
from ripenroom.records.refusal import Refusal
from ripenroom.records.refusal_words import bare, hints_of, refusal_of, what_is
from ripenroom.records.rules import RULES_OF
from ripenroom.records.season import SeasonDetails

Kind = TypeVar("Kind")

_KEPT_AS_THEY_ARE = (bytes, datetime)


def checked(record: Kind) -> Kind:
    """The record in its usual form: figures as floats, moments in whole seconds of UTC.

    Raises :class:`Refusal` at the first field that cannot be.
    """
    return record_from(type(record), plain(record))


def record_from(kind: type[Kind], values: Mapping[str, Any]) -> Kind:
    """The record that has these values, with texts for days and sequences for tuples.

    Raises :class:`Refusal` at the first field that cannot be, or that is missing.
    """
    try:
        record = msgspec.convert(values, kind)
    except msgspec.ValidationError as error:
        raise refusal_of(kind, values, str(error)) from error
    for rule in RULES_OF.get(kind, ()):
        rule(record)
    return record


def plain(record: object) -> dict[str, Any]:
    """The fields of a record: moments in whole seconds of UTC, bytes as they are, days as text."""
    values = msgspec.to_builtins(record, builtin_types=_KEPT_AS_THEY_ARE)
    return in_whole_seconds(type(record), values)


def in_whole_seconds(kind: type, values: dict[str, Any]) -> dict[str, Any]:
    """The values with their moments in UTC: what a person writes down has no finer grain.

    Raises :class:`Refusal` for a moment that is beyond all calendars there.
    """
    for name in _moments_of(kind):
        at = values[name]
        if isinstance(at, datetime) and at.tzinfo is not None:
            try:
                values[name] = at.astimezone(UTC).replace(microsecond=0)
            except OverflowError as error:  # the year 1 or 9999, from another side of the world
                raise Refusal(
                    name, "{value} is not a day of any season.", value=f"{at:%Y-%m-%d}"
                ) from error
    return values


@cache
def _moments_of(kind: type) -> tuple[str, ...]:
    """The fields of a kind of record that hold a moment."""
    return tuple(name for name, hint in hints_of(kind).items() if bare(hint) is datetime)


REACH_BEFORE = timedelta(days=400)
REACH_AFTER = timedelta(days=800)


def require_within_reach(season: SeasonDetails, records: Iterable[Record]) -> None:
    """Raise :class:`Refusal` at the first field that lies too far from the season's first day."""
    for _, refusal in out_of_reach(season, records):
        raise refusal


def out_of_reach(
    season: SeasonDetails, records: Iterable[Record]
) -> Iterator[tuple[Record, Refusal]]:
    """The records that lie too far from the season's first day, each with why it is refused."""
    first, last = season.first_day - REACH_BEFORE, season.first_day + REACH_AFTER
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
        before=REACH_BEFORE.days,
        after=REACH_AFTER.days,
    )


def records_out_of_reach(book: Book) -> Iterator[tuple[Record, Refusal]]:
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

"""What was known by the end of yesterday, so that a plan can be told from the one before."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from ripenroom.records.batch import Move, Removal, Treatment
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.records.place import SetPointChange
from ripenroom.season.moments import evening_of, local_day, start_of_day

_Happened = TypeVar("_Happened", Move, Removal, Treatment, Check)


def yesterday_evening(now: datetime, zone: ZoneInfo) -> datetime:
    """The moment as on which yesterday's plan is worked out: when the day's work was done."""
    return evening_of(local_day(now, zone) - timedelta(days=1), zone)


def yesterdays_book(book: Book, now: datetime, zone: ZoneInfo) -> Book:
    """The records without all that has a time of today, up to now.

    Records do not tell when they were written: what lies ahead of now, such as a move for
    tomorrow, is taken as known yesterday. Batches picked today are gone, with all that was done
    to them.
    """
    today = start_of_day(local_day(now, zone), zone)

    def known(at: datetime) -> bool:
        return at < today or at > now

    batches = {key: batch for key, batch in book.batches.items() if batch.picked_at < today}

    def of_batches(records: Iterable[_Happened]) -> dict[str, _Happened]:
        return {
            record.id: record
            for record in records
            if known(record.at) and record.batch_id in batches
        }

    days = {
        key: replace(day, settled_at=None)
        if day.settled_at is not None and not known(day.settled_at)
        else day
        for key, day in book.market_days.items()
    }
    settled = {key for key, day in days.items() if day.settled_at is not None}
    return replace(
        book,
        batches=batches,
        moves=of_batches(book.moves.values()),
        removals=of_batches(book.removals.values()),
        treatments=of_batches(book.treatments.values()),
        checks=of_batches(book.checks.values()),
        set_points=_set_points(book, known_until=today, now=now),
        market_days=days,
        brought={
            key: brought
            for key, brought in book.brought.items()
            if brought.market_day_id in settled and brought.batch_id in batches
        },
        pins={
            key: replace(pin, packed_at=None)
            if pin.packed_at is not None and not known(pin.packed_at)
            else pin
            for key, pin in book.pins.items()
            if pin.batch_id in batches
        },
    )


def _set_points(book: Book, known_until: datetime, now: datetime) -> dict[str, SetPointChange]:
    """Set points but those of today; a place that was set up today keeps its first, as the
    earliest change of a place holds for all time before it."""
    first: dict[str, SetPointChange] = {}
    for change in sorted(book.set_points.values(), key=lambda c: c.at):
        first.setdefault(change.place_id, change)
    kept = {change.id for change in first.values()}
    return {
        key: change
        for key, change in book.set_points.items()
        if change.at < known_until or change.at > now or key in kept
    }

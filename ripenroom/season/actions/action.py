"""What an action is, as the season file takes it, and the checks that many actions share."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TypeVar

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book, Record
from ripenroom.records.limits import MOST_FRUIT
from ripenroom.records.market import MarketDay
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.place import Place
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import checked
from ripenroom.season.moments import CLOCK_SLACK, start_of_day
from ripenroom.season.state import zone_of
from ripenroom.units import MassUnit, TemperatureUnit, mass_in, temperature_in

LONGEST_WAIT = timedelta(days=400)
"""No soft fruit waits longer; a date that far ahead is a slip of the hand."""

Named = TypeVar("Named", Cultivar, MarketDay, Place, Row, SeasonDetails)
"""Records that have a name."""


@dataclass(frozen=True, slots=True)
class Action:
    """What one action writes and removes, with the words that undo will show."""

    label: str
    put: tuple[Record, ...] = ()
    deleted: tuple[Record, ...] = ()


def temperature_label(book: Book, value_c: float) -> str:
    """A temperature (C) as the season's units name it, such as "3.5 °C"."""
    unit: TemperatureUnit = "F" if book.season.units == "us" else "C"
    return f"{_short(temperature_in(value_c, unit))} °{unit}"


def mass_label(book: Book, value_kg: float) -> str:
    """A mass (kg) as the season's units name it, such as "12 lb"."""
    unit: MassUnit = "lb" if book.season.units == "us" else "kg"
    return f"{_short(mass_in(value_kg, unit))} {unit}"


def _short(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def tidy(record: Named) -> Named:
    """The record without blanks around its name, if it can be at all; else ``Refusal``."""
    return checked(replace(record, name=record.name.strip()))


def require_free_name(name: str, others: Iterable[str], what: str) -> None:
    """Refuse the name of a ``what`` that another has, large letters or small."""
    if name.casefold() in {other.strip().casefold() for other in others}:
        raise Refusal(
            "name",
            "There is a {what} named “{name}” already; choose another.",
            what=what,
            name=name,
        )


def require_in_season(field: str, at: datetime, book: Book) -> None:
    """Refuse a time before the season's first day."""
    season = book.season
    if at < start_of_day(season.first_day, zone_of(season)):
        raise Refusal(
            field,
            "This is before the season’s first day, {first}. "
            "Fix the date, or start the season earlier.",
            first=season.first_day,
        )


def require_within_wait(at: datetime, batch: Batch) -> None:
    """Refuse a time so long after a batch's pick that no fruit waits for it."""
    if at > batch.picked_at + LONGEST_WAIT:
        raise Refusal(
            "at",
            "That is more than {days} days after {code} was picked; choose an earlier time.",
            days=LONGEST_WAIT.days,
            code=batch.code,
        )


def require_not_ahead(field: str, at: datetime, now: datetime) -> None:
    """Refuse a time that has not come yet."""
    if at > now + CLOCK_SLACK:
        raise Refusal(
            field,
            "This is still to come: it is now {now}. Fix the date or the time.",
            now=now,
        )


def field_of(what: str, batch_id: str) -> str:
    """The field that a refusal names: ``what`` (taken, sold, …) of a batch."""
    return f"{what} {batch_id}"


def require_count(what: str, count: int, batch: Batch) -> None:
    """Refuse a number that no batch can have."""
    if not 0 <= count <= MOST_FRUIT:
        raise Refusal(
            field_of(what, batch.id),
            "{code}: type a whole number from 0 to {most}, not {count}.",
            count=count,
            code=batch.code,
            most=MOST_FRUIT,
        )


def require_once(what: str, batch_ids: Iterable[str], book: Book) -> None:
    """Refuse a batch that was counted in two lines, at its field ``what``."""
    seen: set[str] = set()
    for batch_id in batch_ids:
        if batch_id in seen:
            raise Refusal(
                field_of(what, batch_id),
                "{code} is there twice: put it on one line.",
                code=book.batches[batch_id].code,
            )
        seen.add(batch_id)

"""One action as the season file takes it, and the checks that many actions share."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from unicodedata import category

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book, Record
from ripenroom.records.refusal import Refusal
from ripenroom.season.moments import CLOCK_SLACK, start_of_day
from ripenroom.season.zones import zone_of
from ripenroom.units import MassUnit, TemperatureUnit, mass_in, temperature_in

LONGEST_WAIT = timedelta(days=400)
"""No soft fruit waits longer; a date that far ahead is a slip of the hand."""

_BREAKS_A_LINE = frozenset({"Cc", "Zl", "Zp"})
"""Unicode categories of control characters and of separators of lines and paragraphs."""


@dataclass(frozen=True, slots=True)
class NamedChange:
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


def require_name(name: str, others: Iterable[str], what: str) -> str:
    """The name without blanks around it; refuse an empty, over-long or taken name of a ``what``."""
    name = name.strip()
    if not name:
        raise Refusal("name", "Give the {what} a name.", what=what)
    if len(name) > 200:
        raise Refusal("name", "This name has {size} characters; 200 is the most.", size=len(name))
    if not is_one_line(name):
        raise Refusal("name", "A name is one line, without tabs; type it anew.")
    if name.casefold() in {other.strip().casefold() for other in others}:
        raise Refusal(
            "name",
            "There is a {what} named “{name}” already; choose another.",
            what=what,
            name=name,
        )
    return name


def is_one_line(text: str) -> bool:
    """Whether a text has no line break, tab or other control character in it."""
    return not any(category(character) in _BREAKS_A_LINE for character in text)


def require_between(
    field: str, value: float, low: float, high: float, what: str, unit: str = ""
) -> None:
    """Refuse a number that is not finite or not from ``low`` to ``high``."""
    if not math.isfinite(value) or not low <= value <= high:
        raise Refusal(
            field,
            "{what} is {value:g}{unit}; it must be from {low:g} to {high:g}{unit}.",
            what=what,
            value=value,
            low=low,
            high=high,
            unit=unit,
        )


def require_temperature(field: str, celsius: float, low_c: float, high_c: float, what: str) -> None:
    """Refuse a temperature (C) that is not from ``low_c`` to ``high_c``, in words of both units.

    In which of them it was typed is not known here.
    """
    if math.isfinite(celsius) and low_c <= celsius <= high_c:
        return
    raise Refusal(
        field,
        "{what} is {given:.4g} °C ({given_f:.4g} °F); it must be from {low:g} to {high:g} °C "
        "({low_f:.0f} to {high_f:.0f} °F).",
        what=what,
        given=celsius,
        given_f=temperature_in(celsius, "F"),
        low=low_c,
        high=high_c,
        low_f=temperature_in(low_c, "F"),
        high_f=temperature_in(high_c, "F"),
    )


def require_note(note: str) -> None:
    """Refuse a note that no one would read."""
    if len(note) > 10_000:
        raise Refusal("note", "The note has {size} characters; 10,000 is the most.", size=len(note))


def require_in_season(field: str, at: datetime, book: Book) -> None:
    """Refuse a time before the season's first day."""
    season = book.season
    if at < start_of_day(season.first_day, zone_of(season)):
        raise Refusal(
            field,
            "This is before the season’s first day, {first:%Y-%m-%d}. "
            "Mend the date, or start the season earlier.",
            first=season.first_day,
        )


def require_within_wait(field: str, at: datetime, batch: Batch) -> None:
    """Refuse a time so long after a batch's pick that no fruit waits for it."""
    if at > batch.picked_at + LONGEST_WAIT:
        raise Refusal(
            field,
            "That is more than {days} days after {code} was picked; choose an earlier time.",
            days=LONGEST_WAIT.days,
            code=batch.code,
        )


def require_not_ahead(field: str, at: datetime, now: datetime) -> None:
    """Refuse a time that has not come yet."""
    if at > now + CLOCK_SLACK:
        raise Refusal(
            field,
            "This lies ahead: it is now {now:%Y-%m-%d %H:%M}. Mend the date or the time.",
            now=now,
        )

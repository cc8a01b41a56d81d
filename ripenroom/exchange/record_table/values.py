"""Cells as numbers, dates and times, however they are written."""

import math
import re
from collections.abc import Sequence
from contextlib import suppress
from datetime import date, datetime, time, timedelta
from typing import Literal

from ripenroom.exchange.text_table.stamps import DateOrder as Order
from ripenroom.exchange.text_table.stamps import date_before, day_number, day_of_year_before
from ripenroom.texts import tr
from ripenroom.units import MassUnit

DateOrder = Literal["ymd", "dmy", "mdy"]
DecimalMark = Literal[".", ","]

# Nothing here may be read in two ways, so nothing is tried again: the time to read a cell, or to
# find that it cannot be, grows with its length.
_TIME = re.compile(
    r"[T,\s]*+(\d{1,2})(?:[:.h](\d{2})(?:[:.](\d{2})(?:\.\d++)?)?)?\s*+([ap])?\.?m?\.?"
    r"\s*+(Z|[+-]\d{2}:?\d{2})?\s*+",
    re.IGNORECASE,
)
_LONGEST = 60
"""No date, time or number is longer."""
_NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,3})?")
_GROUPED: dict[DecimalMark, re.Pattern[str]] = {
    ".": re.compile(r"[-+]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?"),
    ",": re.compile(r"[-+]?[1-9]\d{0,2}(?:\.\d{3})+(?:,\d*)?"),
}
"""Numbers with their thousands marked: by points where the comma is the decimal mark."""

_GAPS = re.compile("[\\s\u00a0\u202f'’]")


class Unreadable(ValueError):  # noqa: N818 - the program has not erred
    """A cell that does not hold what its column says; the message says what it should hold."""


def decimal_mark_of(cells: Sequence[str]) -> DecimalMark:
    """The decimal mark of some numbers: a comma if it stands where only a decimal mark can."""
    short = [cell for cell in cells if len(cell) <= _LONGEST]
    commas, points = (sum(_shows(mark, cell) for cell in short) for mark in (",", "."))
    return "," if commas > points else "."


def _shows(mark: str, cell: str) -> bool:
    """Whether it is the decimal mark in this cell: it parts neither thousands nor numbers."""
    sign = re.escape(mark)
    found = re.search(rf"{sign}(?!\d{{3}}(?!\d))\d|\b0{sign}\d", cell)
    return found is not None and not re.search(rf"{sign}\d+{sign}", cell)


def date_order_of(cells: Sequence[str], usual: Literal["dmy", "mdy"]) -> tuple[DateOrder, bool]:
    """The order in which most of the dates can be read, the usual one where that is either, and
    whether it is doubtful."""
    found = filter(None, map(date_before, cells))
    short = [parts for parts, _ in found if not parts.settled]
    if not short:
        return "ymd", False
    by_day, by_month = (
        sum(day_number(parts, order) is not None for parts in short)
        for order in (Order.DAY_MONTH_YEAR, Order.MONTH_DAY_YEAR)
    )
    if by_day == by_month:
        return usual, by_day > 0
    return ("dmy" if by_day > by_month else "mdy"), False


def number_in(text: str, mark: DecimalMark) -> float:
    """A number as written with that decimal mark; groups of thousands may be marked."""
    if len(text) > _LONGEST:
        raise Unreadable(tr("must be a number"))
    bare = _GAPS.sub("", text)
    other = "," if mark == "." else "."
    if _GROUPED[mark].fullmatch(bare):
        bare = bare.replace(other, "")
    bare = bare.replace(mark, ".")
    if not _NUMBER.fullmatch(bare):
        raise Unreadable(tr("must be a number"))
    value = float(bare)
    if not math.isfinite(value):
        raise Unreadable(tr("must be a number"))
    return value


_MASS = re.compile(r"(.*\d)\s*(kg|lbs?|pounds?)\.?", re.IGNORECASE)


def with_mass_unit(text: str, usual: MassUnit) -> tuple[str, MassUnit]:
    """A weight without the unit behind it, and that unit: ``usual`` where none is."""
    found = _MASS.fullmatch(text.strip()[:_LONGEST])
    if found is None:
        return text, usual
    return found[1], "kg" if found[2].lower() == "kg" else "lb"


def count_in(text: str, mark: DecimalMark) -> int:
    """A whole number that is not negative."""
    try:
        value = number_in(text, mark)
    except Unreadable:
        raise Unreadable(tr("must be a whole number")) from None
    if value != int(min(value, 1e15)) or not 0 <= value < 1e9:
        raise Unreadable(tr("must be a whole number"))
    return int(value)


def numbers_in(text: str, mark: DecimalMark) -> tuple[float, ...]:
    """Numbers with blanks, semicolons or slashes between, or commas where these are no marks."""
    between = r"[\s;/|]+" if mark == "," else r"[\s;,/|]+"
    return tuple(number_in(part, mark) for part in re.split(between, text.strip()) if part)


def moment_in(
    text: str, order: DateOrder, today: date | None = None
) -> tuple[date, time | None, str]:
    """Day, time of day (None if there is none) and offset ("" if there is none) of a cell.

    A day without a year, such as ``Nov 28``, is the one nearest to ``today``.
    """
    short = day_of_year_before(text) if today is not None else None
    if today is not None and short is not None:
        month, day, rest = short
        return _nearest(month, day, today), *_clock_behind(rest)
    before = date_before(text)
    if before is None:
        raise Unreadable(tr("must be a date, such as 2026-09-14"))
    parts, rest = before
    if order == "ymd" and parts.third > 99:
        order = "dmy"
    number = day_number(parts, Order(order))
    if number is None:
        raise Unreadable(tr("must be a day in the calendar"))
    return date(1970, 1, 1) + timedelta(days=number), *_clock_behind(rest)


def _nearest(month: int, day: int, today: date) -> date:
    """The day of that name which is nearest to ``today``, as forms take it too."""
    days = []
    for year in range(today.year - 1, today.year + 2):
        with suppress(ValueError):  # no such day in that year
            days.append(date(year, month, day))
    if not days:
        raise Unreadable(tr("must be a day in the calendar"))
    return min(days, key=lambda found: abs(found - today))


def _clock_behind(rest: str) -> tuple[time | None, str]:
    """Time of day and offset of what stands behind a date."""
    return _clock(rest) if rest.strip(" \t\n,") else (None, "")


def time_in(text: str) -> time:
    """A time of day, with 12 or 24 hours."""
    return _clock(text)[0]


def _clock(text: str) -> tuple[time, str]:
    match = _TIME.fullmatch(text) if len(text) <= _LONGEST else None
    if not match:
        raise Unreadable(tr("must be a time, such as 14:30"))
    hour, minute, second = (int(match[n] or 0) for n in (1, 2, 3))
    half = (match[4] or "").lower()
    if half and not 1 <= hour <= 12:
        raise Unreadable(tr("must be a time, such as 2:30 pm"))
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        return time(hour, minute, second), match[5] or ""
    except ValueError:
        raise Unreadable(tr("must be a time, such as 14:30")) from None


def with_offset(day: date, clock: time, offset: str) -> datetime | None:
    """The moment, if the cell told its offset from UTC; else None."""
    if not offset:
        return None
    return datetime.fromisoformat(f"{day.isoformat()}T{clock.isoformat()}{offset.upper()}")

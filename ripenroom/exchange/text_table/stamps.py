"""Dates and times of day as loggers and people write them.

A file repeats few dates and few times of day, so each text is looked at once and remembered.
"""

import re
from collections.abc import Callable
from datetime import date
from enum import StrEnum
from typing import NamedTuple

EARLIEST_YEAR, LATEST_YEAR = 1970, 2199
_LONGEST = 60
_EPOCH_ORDINAL = date(1970, 1, 1).toordinal()

_MONTHS = {
    prefix: number
    for number, prefixes in enumerate(
        (
            "jan jän gen ene",
            "feb fév fev",
            "mar mär mrt mrz",
            "apr avr abr",
            "may mai mag mei maj",
            "jun juin giu",
            "jul juil lug",
            "aug aoû ago août",
            "sep set",
            "oct okt out ott",
            "nov",
            "dec dez dic déc",
        ),
        start=1,
    )
    for prefix in prefixes.split()
}

_WEEKDAY = r"(?:[^\W\d]{2,12}\.?,?\s+)?"
_NUMERIC = re.compile(_WEEKDAY + r"(\d{1,4})\s?([-/. ])\s?(\d{1,2})\s?\2\s?(\d{1,4})(?!\d)\.?")
_NAMED_SECOND = re.compile(
    _WEEKDAY + r"(\d{1,4})\.?[-/. ]+([^\W\d]{3,12})\.?[-/., ]+(\d{1,4})(?!\d)"
)
_NAMED_FIRST = re.compile(
    _WEEKDAY + r"([^\W\d]{3,12})\.?[-/. ]+(\d{1,2})(?:st|nd|rd|th)?,?[-/ ]+(\d{4})(?!\d)"
)
_TIME_OR_END = r"(?=\s*$|[T,\s]+\d{1,2}(?:[:.h]\d{2}|\s*[ap]\.?m))"
"""What stands behind a date without a year: not its year."""
_SHORT_SECOND = re.compile(
    _WEEKDAY + r"(\d{1,2})\.?[-/. ]+([^\W\d]{3,12})\.?" + _TIME_OR_END, re.IGNORECASE
)
_SHORT_FIRST = re.compile(
    _WEEKDAY + r"([^\W\d]{3,12})\.?[-/. ]+(\d{1,2})(?:st|nd|rd|th)?" + _TIME_OR_END,
    re.IGNORECASE,
)
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})(?!\d)")

_CLOCK = re.compile(
    r"(\d{1,2})[:.h](\d{2})(?:[:.m](\d{2})(?:[.,:]\d{1,9})?)?s?"
    r"\s*(?P<half>[ap])?(?(half)\.?\s?m\.?)"
    r"\s*(?:Z|UTC|GMT|[A-Z]{3,4})?(?P<offset>[-+]\d{1,2}(?::?\d{2})?)?",
    re.IGNORECASE,
)
_UTC = re.compile(r"(?:Z|UTC|GMT)$", re.IGNORECASE)
_COMPACT_CLOCK = re.compile(r"(\d{2})(\d{2})(\d{2})?")
_OFFSET = re.compile(r"(?:UTC|GMT)\s?([-+])(\d{1,2})(?::?(\d{2}))?", re.IGNORECASE)


class DateOrder(StrEnum):
    """Which number of a date comes first, second and third."""

    YEAR_MONTH_DAY = "ymd"
    DAY_MONTH_YEAR = "dmy"
    MONTH_DAY_YEAR = "mdy"


class DateParts(NamedTuple):
    """The numbers of a date as they stand; ``settled`` ones are year, month, day already."""

    first: int
    second: int
    third: int
    settled: bool


class ClockTime(NamedTuple):
    """Seconds since midnight, and seconds that the clock is ahead of UTC if it says so."""

    second: int
    offset_s: int | None


def date_parts(text: str) -> DateParts | None:
    """The numbers of a date; None where there is none."""
    found = _date(text.strip(), re.Pattern.fullmatch)
    return None if found is None else found[0]


def date_before(text: str) -> tuple[DateParts, str] | None:
    """The numbers of the date that a text begins with, and what stands behind it."""
    return _date(text.strip(), re.Pattern.match)


def _date(
    text: str, matched: Callable[[re.Pattern[str], str], re.Match[str] | None]
) -> tuple[DateParts, str] | None:
    if len(text) > _LONGEST:
        return None
    if match := matched(_COMPACT, text):
        parts = DateParts(int(match[1]), int(match[2]), int(match[3]), True)
        return parts, text[match.end() :]
    if match := matched(_NUMERIC, text):
        settled = len(match[1]) == 4
        if len(match[1]) == 3 or len(match[4]) not in ((1, 2) if settled else (2, 4)):
            return None
        parts = DateParts(int(match[1]), int(match[3]), int(match[4]), settled)
        return parts, text[match.end() :]
    if match := matched(_NAMED_SECOND, text):
        month = _month(match[2])
        first, last = match[1], match[3]
        year, day = (first, last) if len(first) == 4 else (last, first)
        if month and len(day) <= 2 and len(year) in (2, 4):
            parts = DateParts(_full_year(int(year)), month, int(day), True)
            return parts, text[match.end() :]
    if match := matched(_NAMED_FIRST, text):
        month = _month(match[1])
        if month:
            return DateParts(int(match[3]), month, int(match[2]), True), text[match.end() :]
    return None


def day_of_year_before(text: str) -> tuple[int, int, str] | None:
    """Month and day of the date without a year that a text begins with, its month being named, and
    what stands behind it; None where there is none."""
    text = text.strip()
    if len(text) > _LONGEST:
        return None
    if match := _SHORT_SECOND.match(text):
        day, name = match[1], match[2]
    elif match := _SHORT_FIRST.match(text):
        name, day = match[1], match[2]
    else:
        return None
    month = _month(name)
    return (month, int(day), text[match.end() :]) if month else None


def _month(name: str) -> int:
    name = name.casefold()
    return _MONTHS.get(name[:4]) or _MONTHS.get(name[:3], 0)


def _full_year(year: int) -> int:
    return year + 2000 if year < 100 else year


def day_number(parts: DateParts, order: DateOrder) -> int | None:
    """Days since 1970 of a date read in an order; None where there is no such date."""
    first, second, third, settled = parts
    if settled or order is DateOrder.YEAR_MONTH_DAY:
        year, month, day = first, second, third
    elif order is DateOrder.DAY_MONTH_YEAR:
        year, month, day = third, second, first
    else:
        year, month, day = third, first, second
    year = _full_year(year)
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        return None
    try:
        return date(year, month, day).toordinal() - _EPOCH_ORDINAL
    except ValueError:
        return None


def clock(text: str) -> ClockTime | None:
    """A time of day, with or without AM or PM and zone; None where there is none."""
    text = text.strip().replace("\u202f", " ").replace("\u00a0", " ")
    if len(text) > _LONGEST:
        return None
    match = _CLOCK.fullmatch(text)
    if match is None:
        match = _COMPACT_CLOCK.fullmatch(text)
        half, offset = None, None
        if match is None:
            return None
    else:
        half, offset = match["half"], match["offset"]
    hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half.lower() == "p" else 0)
    if hour > 24 or minute > 59 or second > 60 or (hour == 24 and (minute or second)):
        return None
    offset_s = _offset_s(offset) if offset else (0 if _UTC.search(text) else None)
    return ClockTime(hour * 3600 + minute * 60 + second, offset_s)


def _offset_s(text: str) -> int:
    digits = text[1:].replace(":", "")
    hours, minutes = (int(digits), 0) if len(digits) <= 2 else (int(digits[:-2]), int(digits[-2:]))
    return (-1 if text[0] == "-" else 1) * (hours * 3600 + minutes * 60)


def offset_in_heading(heading: str) -> int | None:
    """Seconds ahead of UTC that a heading such as "Date Time, GMT-04:00" names."""
    match = _OFFSET.search(heading)
    if match is None:
        return None
    return _offset_s(f"{match[1]}{match[2]}{match[3] or ''}")


def parted(text: str) -> tuple[str, str]:
    """Date and time of day of a moment's text; the time is empty where there is none."""
    colon = text.find(":")
    if colon > 0:
        begin = colon
        while begin and colon - begin < 2 and text[begin - 1].isdigit():
            begin -= 1
        day = text[:begin].rstrip(" T,;-")
        if day:
            return day, text[begin:]
        before, _, after = text.rpartition(" ")
        return after, before
    if date_parts(text):
        return text, ""
    for mark in ("T", " "):
        day, found, rest = text.rpartition(mark)
        if found:
            return day, rest
    return text[:8], text[8:]


class DayReader(dict[str, int]):
    """Date text to its number among ``found``; -1 where there is no date."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[DateParts] = []

    def __missing__(self, text: str) -> int:
        parts = date_parts(text)
        if parts is None:
            if len(text) <= _LONGEST:  # longer ones are not worth their memory
                self[text] = -1
            return -1
        self[text] = len(self.found)
        self.found.append(parts)
        return self[text]


MIDNIGHT = ClockTime(0, None)


class TimeReader(dict[str, ClockTime | None]):
    """Time-of-day text to what it says; no text at all is midnight."""

    def __init__(self) -> None:
        super().__init__({"": MIDNIGHT})

    def __missing__(self, text: str) -> ClockTime | None:
        told = clock(text)
        if len(text) <= _LONGEST:
            self[text] = told
        return told

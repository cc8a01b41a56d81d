"""Dates of weather files that stand in several columns: year, month and day, or day of the year."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from ripenroom.exchange.logger_file.cells import SEPARATORS, splitter
from ripenroom.exchange.text_table.source import TableSource

_HEAD_LINES = 100
"""Headings stand no further down."""

_YEAR: Final = re.compile(r"years?|yr|yyyy|jahr|a[ñn]o|ann[ée]e|ano|anno|jaar", re.IGNORECASE)
_MONTH: Final = re.compile(r"months?|mo|mm|monat|mes|mois|m[êe]s|mese|maand", re.IGNORECASE)
_DAY: Final = re.compile(r"days?|dy|dd|tag|d[ií]a|jour|dia|giorno|dag", re.IGNORECASE)
_OF_YEAR: Final = re.compile(
    r"doy|y-?day|jday|julian( day)?|day[ _]of[ _](the[ _])?year", re.IGNORECASE
)

_Reader = Callable[[Sequence[str]], date]


def with_dates(source: TableSource) -> TableSource:
    """The same lines with a column of dates before the others, where a line of headings names the
    parts of one; else the source itself."""
    for separator in SEPARATORS:
        split = splitter(separator)
        for number, line in enumerate(source.lines[:_HEAD_LINES]):
            reader = _reader([cell.strip().strip("\"'") for cell in split(line)])
            if reader is not None:
                lines = [
                    *source.lines[:number],
                    f"date{separator}{line}",
                    *(_dated(row, split, separator, reader) for row in source.lines[number + 1 :]),
                ]
                return replace(source, lines=lines)
    return source


def _reader(headings: Sequence[str]) -> _Reader | None:
    """How to read the date of a row below these headings."""

    def place(name: re.Pattern[str]) -> int | None:
        found = [n for n, heading in enumerate(headings) if name.fullmatch(heading)]
        return found[0] if len(found) == 1 else None

    year, month, day, of_year = (place(name) for name in (_YEAR, _MONTH, _DAY, _OF_YEAR))
    if year is not None and month is not None and day is not None:
        at = year, month, day
        return lambda row: date(*(int(row[n]) for n in at))
    if year is not None and of_year is not None:
        first, since = year, of_year
        return lambda row: date(int(row[first]), 1, 1) + timedelta(days=int(row[since]) - 1)
    return None


def _dated(line: str, split: Callable[[str], list[str]], separator: str, reader: _Reader) -> str:
    """The line with its date before it; with an empty cell where it has none."""
    try:
        on = reader([cell.strip().strip("\"'") for cell in split(line)]).isoformat()
    except (ValueError, IndexError, OverflowError):
        on = ""
    return f"{on}{separator}{line}"

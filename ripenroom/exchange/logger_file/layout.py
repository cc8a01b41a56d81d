"""How a file is laid out: what separates its cells, where readings begin, what columns hold."""

import math
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from ripenroom.exchange.logger_file.cells import (
    SEPARATORS,
    number,
    splitter,
    unit_of_cell,
    units_named,
)
from ripenroom.exchange.logger_file.understanding import Corrections, Role, Stamp
from ripenroom.exchange.text_table.source import SHEET, TableSource
from ripenroom.exchange.text_table.stamps import clock, date_parts, parted
from ripenroom.records.refusal import Refusal

_HEAD_LINES = 400
_SPREAD_LINES = 200
_MOST_COLUMNS = 200
_LONGEST_CELL = 300
"""As much of a heading as is looked at; what it names stands further in front."""

_ENOUGH = 0.5
"""Share of a column's cells that must read as what the column is said to hold."""

_NO_AIR = re.compile(
    r"humid|\br\.?h\b|%|feucht|dew|taupunkt|ros[ée]e|roc[ií]o|press|druck|\bhpa\b|\bmbar\b|batt|volt"
    r"|\bmv\b|\bv\b|lux|light|licht|co2|ppm|signal|rssi|alarm|status|serial|\bid\b|\bno\.?$|nr\.?$"
    r"|index|record|count|lfd|#",
    re.IGNORECASE,
)
_AIR = re.compile(r"temp|probe|sensor|f[üu]hler|sonde|sonda|°|º|celsius|fahrenheit", re.IGNORECASE)
_UNIT_CELL = re.compile(
    r"[(\[]?\s*+([°º˚]?\s?[CF]|\u2103|\u2109|%|%?\s?r\.?h\.?|deg\.?\s?[CF]|celsius|fahrenheit"
    r"|[ymdhs:/\-. ]++|mv|v|hpa|mbar|lux)\s*+[)\]]?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class LoggerLayout:
    """Cells are separated by ``separator``; readings begin at line ``first`` (from 0).

    ``headings`` name the columns (units behind them where a line of its own gives them),
    ``roles`` say what they hold, ``units`` which of C and F each says of itself ("" if none),
    ``before`` are the lines above.
    """

    separator: str
    first: int
    headings: tuple[str, ...]
    examples: tuple[str, ...]
    roles: tuple[Role, ...]
    units: tuple[str, ...]
    stamp: Stamp
    before: tuple[str, ...]

    def columns(self, role: Role) -> tuple[int, ...]:
        """Numbers of the columns that hold this."""
        return tuple(n for n, held in enumerate(self.roles) if held is role)


def find_layout(source: TableSource, corrections: Corrections) -> LoggerLayout:
    """The layout that makes most of the file's lines readings; raises ``Refusal`` for none."""
    head = source.lines[:_HEAD_LINES]
    rest = source.lines[_HEAD_LINES:]
    sample = [*head, *rest[:: max(1, len(rest) // _SPREAD_LINES)]]
    best: tuple[int, LoggerLayout] | None = None
    for separator in _candidates(source, corrections):
        found = _with_separator(sample, separator, corrections)
        if found is not None and (best is None or found[0] > best[0]):
            best = found
    if best is None and corrections.roles:
        raise Refusal("roles", "No line has a time in the columns chosen for date and time.")
    if best is None:
        raise Refusal(
            "file",
            "{file} has no column with dates and times, or none with temperatures beside it. "
            "Export it from the logger’s program as a table with both.",
            file=source.name,
        )
    return best[1]


def _candidates(source: TableSource, corrections: Corrections) -> Sequence[str]:
    if source.encoding == SHEET:
        return ("\t",)
    if corrections.separator is not None:
        return (corrections.separator,)
    first = source.lines[0].strip().casefold()
    if len(first) == 5 and first.startswith("sep="):
        return (first[-1],)
    return SEPARATORS


def _with_separator(
    sample: Sequence[str], separator: str, corrections: Corrections
) -> tuple[int, LoggerLayout] | None:
    """The layout with this separator, and how many lines of the sample it makes readings."""
    split = splitter(separator)
    rows = [
        [cell[:_LONGEST_CELL].strip() for cell in split(line)[:_MOST_COLUMNS]] for line in sample
    ]
    width = _usual_width(rows)
    if width < 2:
        return None
    rows = [row + [""] * (width - len(row)) for row in rows]
    chosen = _time_columns(rows, width, corrections)
    if chosen is None:
        return None
    time_roles, stamp = chosen
    good = [n for n, row in enumerate(rows) if _has_time(row, time_roles, stamp)]
    if not good:
        return None
    first = _first_good(good)
    headings = _headings(rows, first, width)
    before = tuple(" ".join(row) for row in rows[:first])
    data = [rows[n] for n in good if n >= first]
    columns = [[row[n] for row in data] for n in range(width)]
    roles, units = _roles(columns, headings, time_roles)
    roles = [corrections.roles.get(n, role) for n, role in enumerate(roles)]
    probes = [n for n, role in enumerate(roles) if role is Role.TEMPERATURE]
    readings = sum(any(not math.isnan(number(row[n])) for n in probes) for row in data)
    if not readings and not corrections.roles:
        return None
    examples = tuple(next(filter(None, column), "")[:60] for column in columns)
    return readings, LoggerLayout(
        separator, first, headings, examples, tuple(roles), tuple(units), stamp, before
    )


def _usual_width(rows: Sequence[Sequence[str]]) -> int:
    """The number of cells that most rows with digits have."""
    widths = Counter(len(row) for row in rows if any(c.isdigit() for cell in row for c in cell))
    return min(widths.most_common(1)[0][0], _MOST_COLUMNS) if widths else 0


def _first_good(good: Sequence[int]) -> int:
    """Where readings begin: a date in the lines above them ("Exported 2026-09-01") is none."""
    for here, after in pairwise(good):
        if after - here <= 2:
            return here
    return good[0]


# Times


def _time_columns(
    rows: Sequence[Sequence[str]], width: int, corrections: Corrections
) -> tuple[dict[int, Role], Stamp] | None:
    told: dict[int, Role] = {
        n: role
        for n, role in corrections.roles.items()
        if role in (Role.MOMENT, Role.DAY, Role.CLOCK) and n < width
    }
    if told:
        moment = next((n for n, role in told.items() if role is Role.MOMENT), None)
        stamp = Stamp.TEXT if moment is None else _stamp_of([row[moment] for row in rows])
        return told, stamp
    columns = [[row[n] for row in rows] for n in range(width)]
    counts = [Counter(map(_kind, column)) for column in columns]
    least = max(1, max(sum(count[kind] for kind in ("moment", "day")) for count in counts) // 2)

    def holding(kind: str) -> int | None:
        found = [n for n, count in enumerate(counts) if count[kind] >= least]
        return found[0] if found else None

    moment, day, clock_column = holding("moment"), holding("day"), holding("clock")
    if moment is not None:
        return {moment: Role.MOMENT}, Stamp.TEXT
    if day is not None and clock_column is not None:
        return {day: Role.DAY, clock_column: Role.CLOCK}, Stamp.TEXT
    counted = _counted_times(columns)
    if counted is not None:
        return counted
    return ({day: Role.MOMENT}, Stamp.TEXT) if day is not None else None


def _kind(cell: str) -> str:
    """Whether a cell is a moment, a day or a time of day; else nothing."""
    if not cell or len(cell) > 60 or not any(c.isdigit() for c in cell):
        return ""
    if date_parts(cell) is not None:
        # Eight digits may count something else, and one cannot tell.
        return "" if cell.isdigit() and not cell.startswith(("19", "20")) else "day"
    if ":" in cell and clock(cell) is not None:
        return "clock"
    day, time = parted(cell)
    if day and time and date_parts(day) is not None and clock(time) is not None:
        return "moment"
    return ""


_COUNTED = (
    (Stamp.EPOCH_MILLISECONDS, 9e11, 4.2e12),
    (Stamp.EPOCH_SECONDS, 9e8, 4.2e9),
    (Stamp.SPREADSHEET_DAYS, 32_000.0, 73_000.0),
)


def _stamp_of(column: Sequence[str]) -> Stamp:
    """How the moments of a column are written."""
    values = [value for cell in column if not math.isnan(value := number(cell))]
    if len(values) >= _ENOUGH * sum(map(bool, column)):
        for stamp, low, high in _COUNTED:
            if sum(low <= value < high for value in values) >= _ENOUGH * len(values):
                return stamp
    return Stamp.TEXT


def _counted_times(columns: Sequence[Sequence[str]]) -> tuple[dict[int, Role], Stamp] | None:
    for n, column in enumerate(columns):
        stamp = _stamp_of(column)
        if stamp is not Stamp.TEXT:
            return {n: Role.MOMENT}, stamp
    return None


def _has_time(row: Sequence[str], roles: dict[int, Role], stamp: Stamp) -> bool:
    for n, role in roles.items():
        if stamp is not Stamp.TEXT:
            low, high = next((low, high) for kind, low, high in _COUNTED if kind is stamp)
            return low <= number(row[n]) < high
        kind = _kind(row[n])
        if role is Role.MOMENT and kind not in ("moment", "day"):
            return False
        if role is Role.DAY and kind != "day":
            return False
        if role is Role.CLOCK and clock(row[n]) is None:
            return False
    return True


# Headings and what else columns hold


def _headings(rows: Sequence[Sequence[str]], first: int, width: int) -> tuple[str, ...]:
    above = [row for row in rows[max(0, first - 3) : first] if sum(map(bool, row)) >= 2]
    if not above:
        return ("",) * width
    names, units = above[-1], [""] * width
    if len(above) > 1 and all(_UNIT_CELL.fullmatch(cell) for cell in names if cell):
        names, units = above[-2], list(names)
    return tuple(
        f"{name} ({unit.strip('()[] ')})" if unit else name
        for name, unit in zip(names[:width], units, strict=False)
    )


def _roles(
    columns: Sequence[Sequence[str]], headings: Sequence[str], time_roles: dict[int, Role]
) -> tuple[list[Role], list[str]]:
    roles = [time_roles.get(n, Role.LEFT_OUT) for n in range(len(columns))]
    units = [_unit(heading, column) for heading, column in zip(headings, columns, strict=True)]
    numeric = [
        n
        for n, column in enumerate(columns)
        if n not in time_roles and units[n] != "%" and _is_numeric(column)
    ]
    numeric = [n for n in numeric if not _NO_AIR.search(headings[n])]
    named = [n for n in numeric if _AIR.search(headings[n]) or units[n] in ("C", "F")]
    probes = named or [n for n in numeric if _may_be_air(columns[n])]
    if {"C", "F"} <= {units[n] for n in probes}:
        # The same temperatures twice, for readers of either unit.
        probes = [n for n in probes if units[n] != "F"]
    for n in probes:
        roles[n] = Role.TEMPERATURE
    return roles, [unit if unit in ("C", "F") else "" for unit in units]


def _unit(heading: str, column: Sequence[str]) -> str:
    named = units_named([heading])
    if len(named) == 1:
        return named.pop()
    behind = Counter(filter(None, map(unit_of_cell, column)))
    return behind.most_common(1)[0][0] if behind else ""


def _is_numeric(column: Sequence[str]) -> bool:
    filled = [cell for cell in column if cell]
    return bool(filled) and sum(not math.isnan(number(c)) for c in filled) >= _ENOUGH * len(filled)


def _may_be_air(column: Sequence[str]) -> bool:
    """Whether the numbers of a column could be temperatures, and do not just count lines."""
    values = [value for cell in column if not math.isnan(value := number(cell))]
    steps = [after - before for before, after in pairwise(values[:50])]
    whole = all(value.is_integer() for value in values)
    counting = whole and len(steps) > 3 and set(steps) in ({1.0}, {-1.0})
    return not counting and -60.0 <= median(values) <= 160.0

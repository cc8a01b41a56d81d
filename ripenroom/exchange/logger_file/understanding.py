"""What was understood of a logger's file, what can be corrected of it, and the readings found.

What was left out is counted by its :class:`Fault`, and said by :func:`left_out_words`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.records.temperature_series import Celsius, Seconds
from ripenroom.texts import tr, tr_n
from ripenroom.units import TemperatureUnit

if TYPE_CHECKING:
    from ripenroom.wording.formats import Formats


class Stamp(StrEnum):
    """How times are written."""

    TEXT = "text"
    EPOCH_SECONDS = "seconds since 1970"
    EPOCH_MILLISECONDS = "milliseconds since 1970"
    SPREADSHEET_DAYS = "days of a spreadsheet"


class LoggerClock(StrEnum):
    """What the logger's clock was set to, where times do not say their zone themselves."""

    HOME = "home zone"
    HOME_WINTER = "home zone without summer time"
    UTC = "UTC"


class Role(StrEnum):
    """What a column holds."""

    MOMENT = "date and time"
    DAY = "date"
    CLOCK = "time of day"
    TEMPERATURE = "temperature"
    LEFT_OUT = "left out"


class Fault(StrEnum):
    """Why a line, or a value in it, was left out."""

    NOT_A_ROW = "no time in it"
    NO_TIME = "time not understood"
    NO_VALUE = "no temperature"
    SENSOR_FAULT = "no temperature that can be"
    SAME_TIME = "same time again"
    SKIPPED_HOUR = "time that the clock change skips"


class ReadDoubt(StrEnum):
    """What the file alone does not tell; to be answered before the readings are taken in."""

    DATE_ORDER = "date order"
    UNIT = "unit"


@dataclass(frozen=True, slots=True)
class Corrections:
    """What the user decides in place of what was understood; None leaves it to the file."""

    separator: str | None = None
    date_order: DateOrder | None = None
    clock: LoggerClock | None = None
    unit: TemperatureUnit | None = None
    roles: Mapping[int, Role] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LoggerColumn:
    """One column: its number from 0, its heading, what it holds, an example from the file."""

    number: int
    heading: str
    role: Role
    example: str


@dataclass(frozen=True, slots=True)
class LeftOutLines:
    """How many lines (of one probe or of all) were left out for a reason, and the first few."""

    fault: Fault
    count: int
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Series:
    """Readings of one probe: increasing times, temperatures (C), and what was left out of it.

    ``usual_step_s`` is the median step, ``gaps`` the number of stretches without readings that are
    long enough to fall back to the set point.
    """

    column: int
    probe: str
    times_s: Seconds
    celsius: Celsius
    usual_step_s: float
    gaps: int
    left_out: tuple[LeftOutLines, ...]


@dataclass(frozen=True, slots=True)
class Understanding:
    """How a file was read.

    ``encoding`` and ``separator`` tell of its text ("sheet" for a workbook), ``first_line`` where
    its readings begin. ``date_order`` is None where dates are no text, ``date_orders`` are those
    that all dates of the file allow, and ``date_days`` what the first date that these read
    differently would be by each (empty: they read all alike). ``offset_told`` is whether times say
    their zone themselves.
    ``left_out`` are lines that gave no reading to any probe; ``unsorted`` is whether lines were not
    in the order of time, ``repeated_hour`` whether an hour was read twice as clocks were put back.
    """

    encoding: str
    separator: str
    first_line: int
    rows: int
    columns: tuple[LoggerColumn, ...]
    stamp: Stamp
    date_order: DateOrder | None
    date_orders: tuple[DateOrder, ...]
    date_days: tuple[date, ...]
    clock: LoggerClock
    offset_told: bool
    unit: TemperatureUnit
    decimal_comma: bool
    doubts: frozenset[ReadDoubt]
    unsorted: bool
    repeated_hour: bool
    left_out: tuple[LeftOutLines, ...]
    series: tuple[Series, ...]


def _fault_words(fault: Fault) -> str:
    return {
        Fault.NOT_A_ROW: tr("Lines without a reading"),
        Fault.NO_TIME: tr("Lines whose time cannot be read"),
        Fault.NO_VALUE: tr("Empty temperatures"),
        Fault.SENSOR_FAULT: tr("Sensor errors, or impossible temperatures"),
        Fault.SAME_TIME: tr("Several readings of one time (averaged)"),
        Fault.SKIPPED_HOUR: tr(
            "In the hour that clocks skip in spring (if the logger’s clock does not, say so below)"
        ),
    }[fault]


def left_out_words(left_out: LeftOutLines, words: "Formats") -> str:
    """How many of what were left out, and in which lines."""
    shown = ", ".join(str(line) for line in left_out.lines)
    more = " …" if left_out.count > len(left_out.lines) else ""
    text = tr_n("{what}: {count} (line {lines})", "{what}: {count} (lines {lines})", left_out.count)
    return text.format(
        count=words.number(left_out.count), what=_fault_words(left_out.fault), lines=shown + more
    )

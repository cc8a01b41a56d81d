"""From the lines of a logger's file to readings, and an account of how it was understood."""

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from ripenroom.exchange.logger_file.cells import units_named
from ripenroom.exchange.logger_file.layout import LoggerLayout, find_layout
from ripenroom.exchange.logger_file.rows import LoggedLines, read_rows
from ripenroom.exchange.logger_file.times import Home, Moments, date_order, moments
from ripenroom.exchange.logger_file.understanding import (
    Corrections,
    Fault,
    LeftOutLines,
    LoggerClock,
    LoggerColumn,
    ReadDoubt,
    Role,
    Series,
    Understanding,
)
from ripenroom.exchange.text_table.progress import ReadProgress
from ripenroom.exchange.text_table.source import TableSource
from ripenroom.exchange.text_table.stamps import offset_in_heading
from ripenroom.records.refusal import Refusal
from ripenroom.records.temperature_series import COLDEST_C, WARMEST_C, Celsius, Seconds
from ripenroom.science.logged_air import Readings
from ripenroom.units import TemperatureUnit

_LINES_SHOWN = 8


def told(fault: Fault, lines: Iterable[int]) -> LeftOutLines:
    """How many lines a fault left out, and the first few."""
    found = list(lines)
    return LeftOutLines(fault, len(found), tuple(found[:_LINES_SHOWN]))


def series_of(
    column: int,
    probe: str,
    times_s: Seconds,
    celsius: Celsius,
    lines: npt.NDArray[np.int32],
    unread: Iterable[int],
) -> Series | None:
    """A probe's series from its rows in the order of the file; None where no reading is left.

    ``unread`` are lines whose cell held something that is no number. Of readings with the same
    time the mean counts.
    """
    missing = np.isnan(celsius)
    impossible = ~missing & ((celsius < COLDEST_C) | (celsius > WARMEST_C))
    unread = set(unread)
    empty = [line for line in lines[missing].tolist() if line not in unread]
    kept = ~missing & ~impossible
    order = np.argsort(times_s[kept], kind="stable")
    times, values = times_s[kept][order], celsius[kept][order]
    if not times.size:
        return None
    first = np.flatnonzero(np.diff(times, prepend=times[0] - 1))
    again = np.ones(times.size, bool)
    again[first] = False
    left_out = (
        told(Fault.NO_VALUE, empty),
        told(Fault.SENSOR_FAULT, sorted([*unread, *lines[impossible].tolist()])),
        told(Fault.SAME_TIME, sorted(lines[kept][order][again].tolist())),
    )
    count = np.diff(first, append=times.size)
    times, values = times[first], np.add.reduceat(values, first) / count
    return Series(
        column=column,
        probe=probe,
        times_s=times,
        celsius=values,
        usual_step_s=float(np.median(np.diff(times))) if times.size > 1 else 0.0,
        gaps=len(Readings(times / 3600.0, values).gaps),
        left_out=tuple(found for found in left_out if found.count),
    )


_SURELY_F_FROM = 50.0
_SURELY_C_TO = 28.0
"""Half of a log among fruit is not below 28 °F (fruit would freeze) nor above 50 °C."""


def read(
    source: TableSource,
    home: Home,
    corrections: Corrections | None = None,
    progress: ReadProgress | None = None,
) -> Understanding:
    """Make sense of a file.

    Raises ``Refusal`` where there is nothing to make sense of, and ``Stopped`` if cancelled.
    """
    corrections = corrections or Corrections()
    progress = progress or ReadProgress()
    layout = find_layout(source, corrections)
    _require_columns(source, layout)
    rows = read_rows(source, layout, progress)
    dates = date_order(rows.dates, corrections.date_order, home)
    clock = corrections.clock or LoggerClock.HOME
    found = moments(rows, layout.stamp, dates.order, clock, _offset_in_headings(layout), home)
    unit, unit_doubtful = _unit(layout, rows, corrections)
    series = _all_series(layout, rows, found, unit)
    if not series:
        raise Refusal(
            "file",
            "{file}: no line has both a time and a possible temperature. Check the columns "
            "you chose, or export the file again.",
            file=source.name,
        )
    doubts = {ReadDoubt.DATE_ORDER} if dates.doubtful else set()
    if unit_doubtful:
        doubts.add(ReadDoubt.UNIT)
    usable = found.times_s[found.sound & ~found.skipped]
    return Understanding(
        encoding=source.encoding,
        separator=layout.separator,
        first_line=layout.first + 1,
        rows=int(rows.line.size),
        columns=_columns(layout),
        stamp=layout.stamp,
        date_order=dates.order,
        date_orders=dates.orders,
        date_days=dates.days,
        clock=clock,
        offset_told=found.offset_told,
        unit=unit,
        decimal_comma=any("," in layout.examples[s.column] for s in series),
        doubts=frozenset(doubts),
        unsorted=bool((np.diff(usable) < 0).any() and (np.diff(usable) > 0).any()),
        repeated_hour=found.repeated,
        left_out=_left_out(rows, found),
        series=series,
    )


def _require_columns(source: TableSource, layout: LoggerLayout) -> None:
    """Refuse columns, as the user may have chosen them, of which no reading can be made."""
    if not layout.columns(Role.TEMPERATURE):
        raise Refusal("roles", "Choose a column with temperatures.")
    one = len(layout.columns(Role.MOMENT)) == 1 and not layout.columns(Role.DAY)
    two = len(layout.columns(Role.DAY)) == 1 and not layout.columns(Role.MOMENT)
    if not (one or two) or len(layout.columns(Role.CLOCK)) > 1:
        raise Refusal(
            "roles",
            "Times need one column with date and time, or one with the date and one with the "
            "time of day.",
        )


def _offset_in_headings(layout: LoggerLayout) -> int | None:
    for role in (Role.MOMENT, Role.CLOCK, Role.DAY):
        for column in layout.columns(role):
            offset = offset_in_heading(layout.headings[column])
            if offset is not None:
                return offset
    return None


def _unit(
    layout: LoggerLayout, rows: LoggedLines, corrections: Corrections
) -> tuple[TemperatureUnit, bool]:
    """The unit of the temperatures, and whether that must be asked."""
    if corrections.unit is not None:
        return corrections.unit, False
    probes = layout.columns(Role.TEMPERATURE)
    told_by = {layout.units[n] for n in probes} - {""} or units_named(layout.before)
    if len(told_by) == 1:
        return ("F" if told_by == {"F"} else "C"), False
    finite = rows.values[np.isfinite(rows.values)]
    middle = float(np.median(finite)) if finite.size else 0.0
    return ("C" if middle < (_SURELY_C_TO + _SURELY_F_FROM) / 2.0 else "F"), (
        _SURELY_C_TO < middle < _SURELY_F_FROM
    )


def _all_series(
    layout: LoggerLayout, rows: LoggedLines, found: Moments, unit: TemperatureUnit
) -> tuple[Series, ...]:
    usable = found.sound & ~found.skipped
    lines = rows.line[usable]
    on_time = set(lines.tolist()) if any(rows.unread) else set()
    values = rows.values[usable]
    values = values if unit == "C" else (values - 32.0) / 1.8
    all_series = (
        series_of(
            column,
            layout.headings[column],
            found.times_s[usable],
            values[:, n],
            lines,
            [line for line in rows.unread[n] if line in on_time],
        )
        for n, column in enumerate(layout.columns(Role.TEMPERATURE))
    )
    return tuple(series for series in all_series if series is not None)


def _columns(layout: LoggerLayout) -> tuple[LoggerColumn, ...]:
    return tuple(
        LoggerColumn(number, *about)
        for number, about in enumerate(
            zip(layout.headings, layout.roles, layout.examples, strict=True)
        )
    )


def _left_out(rows: LoggedLines, found: Moments) -> tuple[LeftOutLines, ...]:
    """Lines that gave no reading to any probe, by reason."""
    no_time = sorted([*rows.outside[Fault.NO_TIME], *rows.line[~found.sound].tolist()])
    left_out = (
        told(Fault.NOT_A_ROW, rows.outside[Fault.NOT_A_ROW]),
        told(Fault.NO_TIME, no_time),
        told(Fault.SKIPPED_HOUR, rows.line[found.sound & found.skipped].tolist()),
    )
    return tuple(found for found in left_out if found.count)

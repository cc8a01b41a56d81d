"""One pass over all lines of a file: times and values as they stand, and what gave neither."""

import math
from array import array
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ripenroom.exchange.logger_file.cells import Values, number, splitter
from ripenroom.exchange.logger_file.layout import LoggerLayout
from ripenroom.exchange.logger_file.understanding import Fault, Role, Stamp
from ripenroom.exchange.text_table.progress import ROWS_AT_A_TIME, ReadProgress
from ripenroom.exchange.text_table.source import TableSource
from ripenroom.exchange.text_table.stamps import DateParts, DayReader, TimeReader, parted

Integers = npt.NDArray[np.int32]

NO_OFFSET = 10**6
"""Stands in :attr:`Rows.offset_s` where a time does not say its zone."""

_AROUND = " \t'\u00a0"


@dataclass(frozen=True)
class LoggedLines:
    """Lines with a time, in the order of the file.

    ``line`` counts from 1. Either ``day`` (which of ``dates``) and ``second`` tell the time, or
    ``counted`` does, where times are numbers. ``values`` holds one column per probe, nan where
    there is no number: because the cell was empty, or (lines ``unread``) because it was something
    else. ``outside`` are the lines without a time.
    """

    line: Integers
    day: Integers
    second: Integers
    offset_s: Integers
    dates: list[DateParts]
    counted: npt.NDArray[np.float64] | None
    values: npt.NDArray[np.float64]
    unread: list[list[int]]
    outside: dict[Fault, list[int]]


def read_rows(source: TableSource, layout: LoggerLayout, progress: ReadProgress) -> LoggedLines:
    """Go through all lines; raises ``Stopped`` if cancelled."""
    reader = _Reader(layout)
    lines = source.lines
    for begin in range(layout.first, len(lines), ROWS_AT_A_TIME):
        progress.at(begin, len(lines))
        reader.take(lines[begin : begin + ROWS_AT_A_TIME], begin + 1)
    progress.at(1, 1)
    return reader.rows()


class _Reader:
    def __init__(self, layout: LoggerLayout) -> None:
        self._split = splitter(layout.separator)
        self._counted = layout.stamp is not Stamp.TEXT
        moment = layout.columns(Role.MOMENT)
        self._moment = moment[0] if moment else -1
        self._day = 0 if moment else layout.columns(Role.DAY)[0]
        clock = layout.columns(Role.CLOCK)
        self._clock = clock[0] if clock and not moment else -1
        self._probes = layout.columns(Role.TEMPERATURE)
        self._width = max(self._moment, self._day, self._clock, *self._probes) + 1
        self._days, self._clocks, self._values = DayReader(), TimeReader(), Values()
        # Arrays, not lists: of two million rows every number would be an object of its own.
        self._line = array("i")
        self._stamps = array("i")
        self._numbers = array("d")
        self._read = [array("d") for _ in self._probes]
        self._unread: list[list[int]] = [[] for _ in self._probes]
        self._outside: dict[Fault, list[int]] = {Fault.NOT_A_ROW: [], Fault.NO_TIME: []}

    def take(self, lines: list[str], first_number: int) -> None:
        """Take the next lines, the first of them being number ``first_number`` of the file."""
        split, width, values = self._split, self._width, self._values
        probes = [(column, self._read[n], self._unread[n]) for n, column in enumerate(self._probes)]
        for number_of_line, line in enumerate(lines, first_number):
            if not line or line.isspace():
                continue
            cells = split(line)
            count = len(cells)
            if count < width:
                cells.extend([""] * (width - count))
            if not (self._take_number(cells) if self._counted else self._take_stamp(cells)):
                row = count > 1 and any(map(str.isdigit, line))
                self._outside[Fault.NO_TIME if row else Fault.NOT_A_ROW].append(number_of_line)
                continue
            self._line.append(number_of_line)
            for column, read, unread in probes:
                value = values[cells[column]]
                read.append(value)
                if value != value and cells[column].strip(_AROUND):
                    unread.append(number_of_line)

    def _take_stamp(self, cells: list[str]) -> bool:
        if self._moment >= 0:
            date, clock = parted(cells[self._moment].strip(_AROUND))
        else:
            date = cells[self._day].strip(_AROUND)
            clock = cells[self._clock].strip(_AROUND) if self._clock >= 0 else ""
        day = self._days[date]
        told = self._clocks[clock]
        if day < 0 or told is None:
            return False
        offset = told.offset_s
        self._stamps.extend((day, told.second, NO_OFFSET if offset is None else offset))
        return True

    def _take_number(self, cells: list[str]) -> bool:
        counted = number(cells[self._moment])
        if math.isnan(counted):
            return False
        self._numbers.append(counted)
        return True

    def rows(self) -> LoggedLines:
        """All times and values that were taken from the lines until now."""
        stamps = np.frombuffer(self._stamps, np.int32).reshape(-1, 3)
        return LoggedLines(
            line=np.frombuffer(self._line, np.int32),
            day=stamps[:, 0],
            second=stamps[:, 1],
            offset_s=stamps[:, 2],
            dates=self._days.found,
            counted=np.frombuffer(self._numbers) if self._counted else None,
            values=np.stack([np.frombuffer(read) for read in self._read], axis=-1),
            unread=self._unread,
            outside=self._outside,
        )

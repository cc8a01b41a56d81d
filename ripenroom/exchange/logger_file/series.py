"""One probe's readings in the order of time, and what had to be left out."""

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from ripenroom.exchange.logger_file.understanding import Fault, LeftOut, Series
from ripenroom.records.temperature_series import COLDEST_C, WARMEST_C, Celsius, Seconds
from ripenroom.science.logged_air import Readings

_LINES_SHOWN = 8


def told(fault: Fault, lines: Iterable[int]) -> LeftOut:
    """How many lines a fault left out, and the first few."""
    found = list(lines)
    return LeftOut(fault, len(found), tuple(found[:_LINES_SHOWN]))


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

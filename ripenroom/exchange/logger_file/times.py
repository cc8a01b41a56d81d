"""From times as they stand in a file to UTC: date order, zone, clock changes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo

import numpy as np
import numpy.typing as npt

from ripenroom.exchange.logger_file.rows import NO_OFFSET, Rows
from ripenroom.exchange.logger_file.stamps import DateParts, day_number
from ripenroom.exchange.logger_file.understanding import DateOrder, LoggerClock, Stamp
from ripenroom.exchange.logger_file.wall_clock import utc_of_wall, winter_offset_s
from ripenroom.records.temperature_series import Seconds

_DAY_S = 86_400
_SPREADSHEET_DAY_0 = -25_569
"""Day 0 of a spreadsheet, 1899-12-30, in days since 1970."""

_EARLIEST_S, _LATEST_S = 631_152_000, 7_258_118_400
"""1990 and 2200: a logger whose battery ran out counts from 1970."""

_AHEAD_S = 366 * _DAY_S
"""A date farther ahead than this is a slip in one line, not a logger that was set wrong."""

_OLDEST_DAYS = 15 * 366
_FAR_APART = 3
"""A wrong order scatters dates over the year; the right one spans this many times less."""

_UNKNOWN = -(10**9)


@dataclass(frozen=True, slots=True)
class Home:
    """What the season knows that the file does not: its zone, its now, its people's habits."""

    zone: tzinfo
    now: datetime
    month_first: bool = False


@dataclass(frozen=True, slots=True)
class DatesRead:
    """The order in which dates are read, those that all dates allow, and whether to ask."""

    order: DateOrder | None
    orders: tuple[DateOrder, ...]
    doubtful: bool


@dataclass(frozen=True, slots=True)
class Moments:
    """UTC (s) of every row; ``sound`` where there is such a time, ``skipped`` where the clock
    change leaves it out."""

    times_s: Seconds
    sound: npt.NDArray[np.bool_]
    skipped: npt.NDArray[np.bool_]
    repeated: bool
    offset_told: bool


def date_order(dates: Sequence[DateParts], corrected: DateOrder | None, home: Home) -> DatesRead:
    """How numbers such as 03/04/2026 are to be read: as all dates of the file together allow.

    Dates that are no dates, lie ahead or years back rule an order out; so does one that scatters
    over the year what another keeps together.
    """
    open_dates = [parts for parts in dates if not parts.settled]
    if not open_dates:
        return DatesRead(None, (), False)
    read = {
        order: [day for parts in open_dates if (day := day_number(parts, order)) is not None]
        for order in DateOrder
    }
    most = max(map(len, read.values()))
    possible = [order for order in DateOrder if len(read[order]) == most]
    today = (home.now.date() - date(1970, 1, 1)).days
    possible = _where(
        possible,
        [max(read[o], default=0) <= today + 1 and min(read[o], default=0) >= today - _OLDEST_DAYS
         for o in possible],
    )  # fmt: skip
    if corrected is not None:
        return DatesRead(corrected, tuple(possible), False)
    spans = [max(read[o], default=0) - min(read[o], default=0) + 1 for o in possible]
    likely = _where(possible, [span <= _FAR_APART * min(spans) for span in spans])
    different = {tuple(read[order]) for order in likely}
    preferred = DateOrder.MONTH_DAY_YEAR if home.month_first else DateOrder.DAY_MONTH_YEAR
    chosen = preferred if preferred in likely else likely[0]
    return DatesRead(chosen, tuple(possible), len(different) > 1)


def _where(orders: list[DateOrder], fit: Sequence[bool]) -> list[DateOrder]:
    """The orders that fit; all of them if none does."""
    return [order for order, fits in zip(orders, fit, strict=True) if fits] or orders


def moments(
    rows: Rows,
    stamp: Stamp,
    order: DateOrder | None,
    clock: LoggerClock,
    heading_offset_s: int | None,
    home: Home,
) -> Moments:
    """UTC of all rows."""
    if rows.counted is not None:
        local, told = _of_numbers(rows.counted, stamp), stamp is not Stamp.SPREADSHEET_DAYS
        offset = np.full(local.size, 0 if told else NO_OFFSET)
    else:
        day_of = [day_number(p, order or DateOrder.YEAR_MONTH_DAY) for p in rows.dates]
        days = np.array([_UNKNOWN if day is None else day for day in day_of], np.int64)
        found = days[rows.day]
        local = np.where(found == _UNKNOWN, _UNKNOWN, found * _DAY_S + rows.second)
        offset = rows.offset_s
    sound = (local >= _EARLIEST_S) & (local < home.now.timestamp() + _AHEAD_S)
    if heading_offset_s is not None:
        offset = np.where(offset == NO_OFFSET, heading_offset_s, offset)
    open_rows = sound & (offset == NO_OFFSET)
    times, skipped, repeated = local - offset, np.zeros(local.size, bool), False
    if open_rows.any():
        if clock is LoggerClock.HOME:
            wall = utc_of_wall(local[open_rows], home.zone)
            times[open_rows] = wall.times_s
            skipped[open_rows] = wall.skipped
            repeated = wall.repeated
        elif clock is LoggerClock.HOME_WINTER:
            first_s = int(local[open_rows].min())
            times[open_rows] = local[open_rows] - winter_offset_s(first_s, home.zone)
        else:
            times[open_rows] = local[open_rows]
    told_all = bool(sound.any()) and not open_rows.any()
    return Moments(times, sound, skipped, repeated, told_all)


def _of_numbers(counted: npt.NDArray[np.float64], stamp: Stamp) -> Seconds:
    if stamp is Stamp.EPOCH_MILLISECONDS:
        seconds = counted / 1000.0
    elif stamp is Stamp.EPOCH_SECONDS:
        seconds = counted
    else:
        seconds = (counted + _SPREADSHEET_DAY_0) * _DAY_S
    return np.rint(np.clip(seconds, -1.0, 2.0 * _LATEST_S)).astype(np.int64)

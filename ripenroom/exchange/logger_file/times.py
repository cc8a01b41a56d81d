"""From times as they stand in a file to UTC: date order, zone, clock changes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ripenroom.exchange.logger_file.rows import NO_OFFSET, LoggedLines
from ripenroom.exchange.logger_file.understanding import LoggerClock, Stamp
from ripenroom.exchange.text_table.stamps import DateOrder, DateParts, day_number
from ripenroom.records.temperature_series import Seconds

_DAY_S = 86_400


class InUtc(NamedTuple):
    """Seconds of UTC, which times the clock change skips, and whether an hour was read twice."""

    times_s: Seconds
    skipped: npt.NDArray[np.bool_]
    repeated: bool


def offset_s(at_s: int, zone: tzinfo) -> int:
    """Seconds that a zone's clocks are ahead of UTC at a time (s)."""
    ahead = datetime.fromtimestamp(at_s, UTC).astimezone(zone).utcoffset()
    assert ahead is not None
    return round(ahead.total_seconds())


def winter_offset_s(at_s: int, zone: tzinfo) -> int:
    """Seconds that a zone's clocks are ahead of UTC without summer time, in the year of a time."""
    year = datetime.fromtimestamp(at_s, UTC).year
    return min(
        offset_s(round(datetime(year, month, 1, tzinfo=UTC).timestamp()), zone) for month in (1, 7)
    )


def utc_of_wall(wall_s: Seconds, zone: tzinfo) -> InUtc:
    """UTC of wall-clock times in the order in which they were written.

    Of an hour that comes twice, the first pass is taken for the earlier one: it ends where the
    clock goes back. Times that clocks skip have no UTC, and are told.
    """
    import pandas as pd

    if wall_s.size and wall_s[-1] < wall_s[0]:
        turned = utc_of_wall(wall_s[::-1], zone)
        return InUtc(turned.times_s[::-1], turned.skipped[::-1], turned.repeated)
    wall = pd.DatetimeIndex(wall_s.astype("datetime64[s]"))
    earlier, later = (
        wall.tz_localize(zone, ambiguous=np.full(wall.size, first), nonexistent="NaT")
        for first in (True, False)
    )
    skipped = np.asarray(earlier.isna())
    times_s = np.where(skipped, wall_s, earlier.asi8)
    doubled = np.flatnonzero(earlier.asi8 != later.asi8)
    days = wall_s[doubled] // _DAY_S
    repeated = False
    for day in np.unique(days):
        within = doubled[days == day]
        second = within[_second_pass(wall_s[within]) :]
        times_s[second] = later.asi8[second]
        repeated |= bool(second.size)
    return InUtc(times_s, skipped, repeated)


def _second_pass(wall_s: Seconds) -> int:
    """Where in the readings of a doubled hour the clock goes back; their number if it does not."""
    steps = np.diff(wall_s)
    for back in (np.flatnonzero(steps < 0), np.flatnonzero(steps == 0)):
        if back.size:
            return int(back[0]) + 1
    return int(wall_s.size)


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
    """The order in which dates are read, those that all dates allow, and whether to ask.

    ``days`` is what the first date that these read differently would be, each by its order.
    """

    order: DateOrder | None
    orders: tuple[DateOrder, ...]
    doubtful: bool
    days: tuple[date, ...] = ()


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
    days = _differing(open_dates, possible)
    if corrected is not None:
        return DatesRead(corrected, tuple(possible), False, days)
    spans = [max(read[o], default=0) - min(read[o], default=0) + 1 for o in possible]
    likely = _where(possible, [span <= _FAR_APART * min(spans) for span in spans])
    different = {tuple(read[order]) for order in likely}
    preferred = DateOrder.MONTH_DAY_YEAR if home.month_first else DateOrder.DAY_MONTH_YEAR
    chosen = preferred if preferred in likely else likely[0]
    return DatesRead(chosen, tuple(possible), len(different) > 1, days)


def _differing(dates: Sequence[DateParts], orders: Sequence[DateOrder]) -> tuple[date, ...]:
    """What the first date that the orders read differently is by each; empty without any."""
    for parts in dates:
        read = [number for order in orders if (number := day_number(parts, order)) is not None]
        if len(read) == len(orders) and len(set(read)) > 1:
            return tuple(date(1970, 1, 1) + timedelta(days=number) for number in read)
    return ()


def _where(orders: list[DateOrder], fit: Sequence[bool]) -> list[DateOrder]:
    """The orders that fit; all of them if none does."""
    return [order for order, fits in zip(orders, fit, strict=True) if fits] or orders


def moments(
    rows: LoggedLines,
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

"""Days of weather in a file of a station, a weather service or a logger outdoors.

The file is read as a thermometer's (:mod:`ripenroom.exchange.logger_file`). One line a day with the
coldest and the warmest is taken as it is; of readings through the day the coldest and warmest are
looked for. What was made of it is told with the days, so that it can be said and corrected.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final, Literal

import numpy as np
import numpy.typing as npt

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import (
    Corrections,
    LeftOutLines,
    ReadDoubt,
    Role,
    Series,
    Understanding,
)
from ripenroom.exchange.text_table.source import TableSource
from ripenroom.exchange.text_table.stamps import DateOrder
from ripenroom.exchange.weather_dates import with_dates
from ripenroom.records.orchard import DayWeather, weather_id
from ripenroom.records.refusal import Refusal
from ripenroom.units import TemperatureUnit

if TYPE_CHECKING:
    import pandas as pd

LONGEST_FILLED: Final = 3
"""So many missing days in a row are filled in by a straight line: common practice, no source."""

_DAY_S = 86_400
_DAILY_FROM_S = 12 * 3600
_LARGEST_HOLE_S = 6 * 3600
"""A day with a longer stretch that nothing was read in may have been colder or warmer in it."""

_COLDEST = re.compile(
    r"min|low|\btnk?\b|cold|tiefst|m[ií]nim|najni|laagst|niedrigst", re.IGNORECASE
)
_WARMEST = re.compile(r"max|high|\btxk?\b|warm|h[öo]chst|m[áa]xim|hoogst", re.IGNORECASE)


_NO_AIR = re.compile(
    r"wind|gust|b[öo]e|viento|\bvent|rain|snow|precip|soil|ground|boden|suelo|\bsol\b",
    re.IGNORECASE,
)
"""What else has a highest or a lowest of the day."""


@dataclass(frozen=True, slots=True)
class WeatherColumns:
    """Headings of the columns with the coldest and the warmest of the day; the same one twice where
    both were looked for in readings through the day."""

    coldest: str
    warmest: str


@dataclass(frozen=True, slots=True)
class WeatherFound:
    """The days of a file, in order, and how they were understood.

    ``date_orders`` and ``date_days`` are those of :class:`Understanding`. ``through_the_day``
    is whether it has many readings a day. ``filled`` days are among ``days``; ``open_gaps`` are
    first and last days of longer ones. ``unsound`` days were left out because their warmest is
    colder than their coldest, or too little of the day was read.
    """

    days: tuple[DayWeather, ...]
    columns: WeatherColumns
    through_the_day: bool
    unit: TemperatureUnit
    doubts: frozenset[ReadDoubt]
    date_orders: tuple[DateOrder, ...]
    date_days: tuple[date, ...]
    filled: tuple[date, ...]
    open_gaps: tuple[tuple[date, date], ...]
    unsound: tuple[date, ...]
    left_out: tuple[LeftOutLines, ...]


def read_weather(
    source: TableSource,
    home: Home,
    corrections: Corrections | None = None,
    columns: WeatherColumns | None = None,
) -> WeatherFound:
    """The days of a file; raises :class:`Refusal` where there are none, or it cannot be told which
    columns hold them."""
    found = _read(source, home, corrections or Corrections(), columns)
    coldest, warmest = _chosen(found, source.name, columns)
    daily = min(s.usual_step_s or _DAY_S for s in (coldest, warmest)) >= _DAILY_FROM_S
    if daily and coldest is warmest:
        raise Refusal(
            "columns",
            "{file} has one temperature a day (“{column}”). Export the coldest and the "
            "warmest of each day.",
            file=source.name,
            column=coldest.probe,
        )
    table = _daily(coldest, warmest, home) if daily else _grouped(coldest, warmest, home)
    sound = table[(table["max"] >= table["min"]) & table["whole"]]
    if sound.empty and daily and bool((table["max"] < table["min"]).all()):
        raise Refusal(
            "columns",
            "In {file} “{warmest}” is colder than “{coldest}” on every day. Say which column is "
            "which.",
            file=source.name,
            coldest=coldest.probe,
            warmest=warmest.probe,
        )
    if sound.empty:
        raise Refusal("columns", "{file} has no whole day.", file=source.name)
    unsound = tuple(on for on in table.index if on not in sound.index)
    days = [
        DayWeather(
            id=weather_id(on),
            on=on,
            min_c=round(float(low), 2),
            max_c=round(float(high), 2),
            source="read" if on <= home.now.date() else "forecast",
        )
        for on, low, high in zip(sound.index, sound["min"], sound["max"], strict=True)
    ]
    whole, filled, open_gaps = _with_gaps_filled(days)
    left_out = (*found.left_out, *coldest.left_out)
    return WeatherFound(
        days=whole,
        columns=WeatherColumns(coldest.probe, warmest.probe),
        through_the_day=not daily,
        unit=found.unit,
        doubts=found.doubts,
        date_orders=found.date_orders,
        date_days=found.date_days,
        filled=filled,
        open_gaps=open_gaps,
        unsound=unsound,
        left_out=left_out if warmest is coldest else (*left_out, *warmest.left_out),
    )


def _read(
    source: TableSource, home: Home, corrections: Corrections, columns: WeatherColumns | None
) -> Understanding:
    """The file as a thermometer's. Where columns are known to hold the coldest and the warmest,
    all others are left out: rain or snow would say that degrees are in another unit."""
    if not source.lines:
        raise Refusal("columns", "{file} is empty.", file=source.name)
    source = with_dates(source)
    found = read(source, home, corrections)
    heard = [column for column in found.columns if column.role is Role.TEMPERATURE]
    if columns is None:
        wanted = [column.number for column in heard if _holds(column.heading) is not None]
        known = {_holds(column.heading) for column in heard} >= {"coldest", "warmest"}
    else:
        names = {each.strip().casefold() for each in (columns.coldest, columns.warmest)}
        wanted = [c.number for c in heard if c.heading.strip().casefold() in names]
        known = bool(wanted)
    if not known or len(wanted) == len(heard):
        return found
    left_out = {c.number: Role.LEFT_OUT for c in heard if c.number not in wanted}
    return read(source, home, replace(corrections, roles={**corrections.roles, **left_out}))


def _holds(heading: str) -> Literal["coldest", "warmest"] | None:
    """What a column holds by its heading; None where it says neither, or both."""
    cold, warm = _COLDEST.search(heading), _WARMEST.search(heading)
    if bool(cold) == bool(warm) or _NO_AIR.search(heading):
        return None
    return "coldest" if cold else "warmest"


def _chosen(
    found: Understanding, file: str, columns: WeatherColumns | None
) -> tuple[Series, Series]:
    """The series with the coldest and the one with the warmest; the same one twice where a single
    thermometer was read through the day."""
    series = found.series
    if columns is not None:
        return _named(series, columns.coldest), _named(series, columns.warmest)
    cold = [s for s in series if _holds(s.probe) == "coldest"]
    warm = [s for s in series if _holds(s.probe) == "warmest"]
    if cold and warm:
        return cold[0], warm[0]
    if len(series) == 1:
        return series[0], series[0]
    if len(series) == 2:
        low, high = sorted(series, key=lambda s: float(s.celsius.mean()))
        return low, high
    raise Refusal(
        "columns",
        "{file} has these columns: {columns}. Say which of them hold the coldest and the warmest.",
        file=file,
        columns=", ".join(f"“{s.probe}”" for s in series),
    )


def _named(series: Sequence[Series], heading: str) -> Series:
    wanted = heading.strip().casefold()
    for one in series:
        if one.probe.strip().casefold() == wanted:
            return one
    raise Refusal(
        "columns",
        "No column with temperatures is called “{heading}”; there are: {columns}.",
        heading=heading,
        columns=", ".join(f"“{s.probe}”" for s in series),
    )


def _local_days(times_s: npt.NDArray[np.int64], home: Home) -> "pd.Index[date]":
    """The day of each time at home; midnight of UTC is the day that stands in the file."""
    import pandas as pd

    moments = pd.DatetimeIndex(pd.to_datetime(times_s, unit="s", utc=True))
    midnight = times_s.size > 1 and bool((times_s % _DAY_S == 0).all())
    return pd.Index(moments.tz_convert(UTC if midnight else home.zone).date)


def _daily(coldest: Series, warmest: Series, home: Home) -> "pd.DataFrame":
    import pandas as pd

    columns = {
        name: pd.Series(s.celsius, index=_local_days(s.times_s, home)).groupby(level=0)
        for name, s in (("min", coldest), ("max", warmest))
    }
    table = pd.DataFrame({"min": columns["min"].min(), "max": columns["max"].max()}).dropna()
    return table.assign(whole=True).sort_index()


def _grouped(coldest: Series, warmest: Series, home: Home) -> "pd.DataFrame":
    import pandas as pd

    tables = []
    for name, one in (("min", coldest), ("max", warmest)):
        days = _local_days(one.times_s, home)
        hours = pd.Series(one.times_s, index=days).groupby(level=0)
        by_day = pd.Series(one.celsius, index=days).groupby(level=0)
        # The longest stretch without a reading, the ends of the day among them.
        midnights = [datetime.combine(on, time(), home.zone).timestamp() for on in days.unique()]
        starts = pd.Series(midnights, index=days.unique())
        inner = hours.apply(lambda times: np.diff(times).max(initial=0))
        edges = pd.concat([hours.min() - starts, starts + _DAY_S - hours.max()], axis=1).max(axis=1)
        hole_s = pd.concat([inner, edges], axis=1).max(axis=1)
        tables.append(
            pd.DataFrame(
                {name: by_day.min() if name == "min" else by_day.max(), f"h{name}": hole_s}
            )
        )
    table = pd.concat(tables, axis=1).dropna().sort_index()
    whole = table[["hmin", "hmax"]].max(axis=1) <= _LARGEST_HOLE_S
    return table.assign(whole=whole)[["min", "max", "whole"]]


def _with_gaps_filled(
    days: Sequence[DayWeather],
) -> tuple[tuple[DayWeather, ...], tuple[date, ...], tuple[tuple[date, date], ...]]:
    """The days with short gaps filled; which days were, and which gaps stay open."""
    whole: list[DayWeather] = []
    filled: list[date] = []
    open_gaps: list[tuple[date, date]] = []
    for day in days:
        if whole:
            before = whole[-1]
            missing = (day.on - before.on).days - 1
            if missing > LONGEST_FILLED:
                open_gaps.append((before.on + timedelta(days=1), day.on - timedelta(days=1)))
            else:
                between = [_between(before, day, n, missing + 1) for n in range(1, missing + 1)]
                filled += [one.on for one in between]
                whole += between
        whole.append(day)
    return tuple(whole), tuple(filled), tuple(open_gaps)


def _between(before: DayWeather, after: DayWeather, n: int, steps: int) -> DayWeather:
    on = before.on + timedelta(days=n)
    assert before.max_c is not None, "days of a file have both"
    assert after.max_c is not None
    share = n / steps
    return replace(
        before,
        id=weather_id(on),
        on=on,
        min_c=round(before.min_c + share * (after.min_c - before.min_c), 2),
        max_c=round(before.max_c + share * (after.max_c - before.max_c), 2),
        source="filled",
    )

"""The weather outdoors day by day: what is known of days, and what is usual for others."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.orchard import DayWeather, MonthlyNormal, normal_id, weather_id
from ripenroom.records.place import Place
from ripenroom.science.air import following, through_the_days
from ripenroom.science.logged_air import Readings
from ripenroom.season.moments import day_starts, local_day, to_hours

_AHEAD = timedelta(days=200)
"""Days are filled in with what is usual so long after the season's first day."""


@dataclass(frozen=True, slots=True)
class OutdoorDays:
    """Coldest and warmest (C) of days, in their order; ``midnight_h`` is when each begins.

    Days of which nothing is known are left out.
    """

    midnight_h: tuple[float, ...]
    min_c: tuple[float, ...]
    max_c: tuple[float, ...]


class _Asked(NamedTuple):
    """What the days outdoors follow from."""

    weather: Mapping[str, DayWeather]
    normals: Mapping[str, MonthlyNormal]
    first_day: date
    zone: ZoneInfo

    def same(self, other: "_Asked") -> bool:
        """Whether the same days follow; books share the records that an edit did not touch."""
        return (
            self.weather is other.weather
            and self.normals is other.normals
            and self[2:] == other[2:]
        )


_last: tuple[_Asked, OutdoorDays | None] | None = None


def outdoor_days(book: Book, zone: ZoneInfo) -> OutdoorDays | None:
    """The days that are known, and those between and after them whose month has its usual weather;
    None without any.

    The last are kept: they are asked for after every edit, and hardly any is one of the weather.
    """
    global _last
    asked, last = _Asked(book.weather, book.monthly_normals, book.season.first_day, zone), _last
    if last is not None and asked.same(last[0]):
        return last[1]
    days = list(_days(book))
    found = None
    if days:
        found = OutdoorDays(
            tuple(to_hours(datetime.combine(on, time(), zone)) for on, _, _ in days),
            tuple(low for _, low, _ in days),
            tuple(high for _, _, high in days),
        )
    _last = asked, found
    return found


def _days(book: Book) -> Iterator[tuple[date, float, float]]:
    first = min((day.on for day in book.weather.values()), default=book.season.first_day)
    last = max((day.on for day in book.weather.values()), default=first)
    for n in range((max(last, book.season.first_day + _AHEAD) - first).days + 1):
        on = first + timedelta(days=n)
        known, usual = (
            book.weather.get(weather_id(on)),
            book.monthly_normals.get(normal_id(on.month)),
        )
        if known is not None and known.max_c is not None:
            yield on, known.min_c, known.max_c
        elif usual is not None:
            # A forecast night may say nothing of the day: that is as usual, and never colder.
            low = usual.min_c if known is None else known.min_c
            yield on, low, max(usual.max_c, low)


class AirToday(NamedTuple):
    """Air (C) of a place that follows the weather: now, and at its coldest and warmest today."""

    now_c: float
    low_c: float
    high_c: float


def air_today(book: Book, place: Place, now: datetime, zone: ZoneInfo) -> AirToday | None:
    """The air of a place by today's weather; None where it does not follow that, or nothing is
    known of it."""
    days = outdoor_days(book, zone) if place.weather_lag_h is not None else None
    if days is None or place.weather_lag_h is None:
        return None
    air, today = air_following(days, place.weather_lag_h), local_day(now, zone)
    from_h, to_h = day_starts(today, 2, zone)
    of_today = air.celsius[(air.hours >= from_h) & (air.hours < to_h)]
    now_h = np.array([to_hours(now)])
    if not of_today.size or not air.cover(now_h).all():
        return None
    (now_c,) = np.interp(now_h, air.hours, air.celsius)
    return AirToday(float(now_c), float(of_today.min()), float(of_today.max()))


@lru_cache(maxsize=16)
def air_following(days: OutdoorDays, lag_h: float) -> Readings:
    """Air (C) of a place that follows the weather, as if it had been read every half hour."""
    starts = np.array(days.midnight_h)
    low, high = np.array(days.min_c), np.array(days.max_c)
    # Days that are not followed by the next one end a stretch; clock changes make 23 or 25 hours.
    broken = np.flatnonzero(np.diff(starts) > 26.0) + 1
    hours, celsius = [], []
    for stretch in np.split(np.arange(starts.size), broken):
        at, outdoors = through_the_days(starts[stretch], low[stretch], high[stretch])
        hours.append(at)
        celsius.append(following(at, outdoors, lag_h))
    every_h, every_c = np.concatenate(hours), np.concatenate(celsius)
    fresh = np.append(True, np.diff(every_h) > 0.0)
    return Readings(every_h[fresh], every_c[fresh])

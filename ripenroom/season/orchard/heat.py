"""The clock of the trees: degree days where the weather is known, else the calendar."""

from datetime import date, timedelta

import numpy as np

from ripenroom.records.book import Book
from ripenroom.science.orchard.heat import daily_from_monthly, degree_days
from ripenroom.science.orchard.tree_clock import TreeClock
from ripenroom.science.softening import Floats
from ripenroom.season.orchard.usual import BASE_C, HEAT_PER_DAY, TOP_C

_KNOWN_PART = 0.9
"""Where fewer of the days since bloom have a temperature than this part, the calendar serves."""

_USUAL_RANGE_K = 11.0
"""From the coldest to the warmest of a day of which only the night is forecast (an estimate)."""

_LATELY = 10
"""Days whose heat goes on where nothing is known of what comes."""


_DAY_SD_DAYS, _REMEMBERED = 0.3, 0.7
"""How much the heat of a day differs from what is usual then, in tree days, and how much of that is
left the day after (estimates: means of days differ by some 3 K)."""


_CALENDAR_PART = 0.25
"""How far off the calendar's clock is on every day alike, as a day of the picking season may have
more or less heat than is thought (an estimate)."""


def clock_sd(days: int, by_heat: bool) -> Floats:
    """How far off a clock is by each day from today on, (days,), as the weather is not known: the
    sum of days that differ, each remembered by the next. Of the calendar's clock as well, since
    fruit goes by the weather all the same."""
    apart = np.abs(np.subtract.outer(np.arange(1, days), np.arange(1, days)))
    together = np.cumsum(np.cumsum(_REMEMBERED**apart, axis=0), axis=1).diagonal()
    of_days = np.concatenate([[0.0], _DAY_SD_DAYS * np.sqrt(together)])
    return of_days if by_heat else np.hypot(of_days, _CALENDAR_PART * np.arange(days))


class TreeClocks:
    """Tree days by heat and by the calendar, over all days from ``first`` to ``last``."""

    def __init__(self, book: Book, first: date, last: date) -> None:
        self.first, self.days = first, (last - first).days + 1
        self.calendar = TreeClock.of_calendar(first.toordinal(), self.days)
        low, high = daily_temperatures(book, first, self.days)
        self._known = np.isfinite(low)
        self._days_known = {weather.on for weather in book.weather.values()}
        heat = degree_days(low, high, BASE_C, TOP_C)
        self.by_heat = TreeClock.of_heat(
            first.toordinal(), _without_gaps(heat, self._known), HEAT_PER_DAY
        )

    def knows(self, bloomed: date, today: date) -> bool:
        """Whether enough days between are known to go by heat."""
        since = self._known[max((bloomed - self.first).days, 0) : (today - self.first).days + 1]
        return bool(since.size) and float(since.mean()) >= _KNOWN_PART

    def goes_by_months(self, bloomed: date, today: date) -> bool:
        """Whether most days between go by what is usual in their month."""
        days = (today - bloomed).days + 1
        known = sum(bloomed <= on <= today for on in self._days_known)
        return known < days / 2


def daily_temperatures(book: Book, first: date, days: int) -> tuple[Floats, Floats]:
    """Lowest and highest of each day (C), nan where neither it nor its month's usual is known."""
    low, high = _usual(book, first, days)
    usual_range = np.where(np.isfinite(high), high - low, _USUAL_RANGE_K)
    for weather in book.weather.values():
        place = (weather.on - first).days
        if 0 <= place < days:
            low[place] = weather.min_c
            warmest = weather.max_c
            high[place] = weather.min_c + usual_range[place] if warmest is None else warmest
    return low, np.maximum(high, low)


def _usual(book: Book, first: date, days: int) -> tuple[Floats, Floats]:
    ends = np.full((2, 12), np.nan)
    for normal in book.monthly_normals.values():
        ends[:, normal.month - 1] = normal.min_c, normal.max_c
    last = first + timedelta(days=days - 1)
    low, high = (
        np.concatenate([daily_from_monthly(end, year) for year in range(first.year, last.year + 1)])
        for end in ends
    )
    offset = (first - date(first.year, 1, 1)).days
    return low[offset : offset + days].copy(), high[offset : offset + days].copy()


def _without_gaps(heat: Floats, known: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Floats:
    """Heat of each day: between known days as they have it, after them as lately."""
    where = np.flatnonzero(known)
    if not where.size:
        return np.full(heat.size, HEAT_PER_DAY)
    filled = np.interp(np.arange(heat.size), where, heat[where])
    filled[where[-1] + 1 :] = heat[where[-_LATELY:]].mean()
    return filled

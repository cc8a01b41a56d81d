"""The clock of the trees, and what spring says by it: bloom, and of peaches when harvest begins.

The clock runs on degree days where the weather is known, else on the calendar. Bloom is the day
that was noted, or a guess with its doubt. Only of peaches is it published how the warmth of spring
moves the harvest, and with it how large fruit get.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from statistics import median
from typing import Final

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.orchard import Cultivar
from ripenroom.science.orchard.heat import (
    DAYS_AFTER_BLOOM,
    RED_HAVEN,
    daily_from_monthly,
    degree_days,
    growing_degree_hours_of_days,
    warm_from,
)
from ripenroom.science.orchard.tree_clock import TreeClock
from ripenroom.science.softening import Floats
from ripenroom.season.moments import local_day
from ripenroom.season.orchard.orchard_types import Bloom, BloomSource, RowFacts, Spring
from ripenroom.season.orchard.priors import (
    BASE_C,
    BLOOM_C,
    BLOOM_SD_DAYS,
    HEAT_PER_DAY,
    TOP_C,
    needs_of,
)
from ripenroom.season.state import SeasonState

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


_SOME, _ODD_SD, _FIRST_LOOK_DAYS = 0.1, 3.0, 30
"""Part of the fruit of a walk that gives, in sds how far a day of bloom may lie off, and by how
many days the first look may have come late."""

_YEAR_DAYS = 330
"""Spring is looked for in so many days before the season's first one."""


def blooms(
    state: SeasonState, rows: Sequence[RowFacts], picks: Mapping[str, tuple[Batch, ...]]
) -> list[Bloom]:
    """When each row bloomed. Where nobody noted it: as other rows of its cultivar, or else of its
    crop; as warm as spring was; before its first walk or pick; or before the season began."""
    noted: dict[str, list[int]] = {}
    for facts in rows:
        if facts.row.bloomed_on is not None:
            for key in (f"cultivar {facts.row.cultivar_id}", f"crop {facts.crop}"):
                noted.setdefault(key, []).append(facts.row.bloomed_on.toordinal())
    springs = {facts.crop: _by_spring(state, facts.crop or "") for facts in rows}

    def bloom(facts: RowFacts) -> Bloom:
        if facts.row.bloomed_on is not None:
            return Bloom(facts.row.bloomed_on, BLOOM_SD_DAYS["noted"], "noted")
        if days := noted.get(f"cultivar {facts.row.cultivar_id}"):
            return _guess(date.fromordinal(round(median(days))), "cultivar")
        if days := noted.get(f"crop {facts.crop}"):
            return _guess(date.fromordinal(round(median(days))), "crop")
        if (spring := springs[facts.crop]) is not None:
            return _guess(spring, "spring")
        needs = timedelta(days=round(needs_of(facts.crop or "").days))
        if (first := _first_look(facts, picks.get(facts.row.id, ()))) is not None:
            return _guess(local_day(first, state.zone) - needs, "walk")
        return _guess(state.book.season.first_day - needs, "season")

    return [bloom(facts) for facts in rows]


def fits(state: SeasonState, facts: RowFacts, bloom: Bloom, picks: Sequence[Batch]) -> bool:
    """Whether a row's first fruit with give lies about as long after its bloom as its crop takes;
    true where none was seen."""
    found = [
        walk.at
        for walk in facts.walks
        if walk.feel_counts and sum(walk.feel_counts[1:]) >= _SOME * sum(walk.feel_counts)
    ]
    found += [batch.picked_at for batch in picks]
    if not found:
        return True
    needs = needs_of(facts.crop or "")
    took = (local_day(min(found), state.zone) - bloom.on).days
    off = _ODD_SD * needs.days_sd
    return needs.days - off <= took <= needs.days + off + _FIRST_LOOK_DAYS


def _guess(on: date, by: BloomSource) -> Bloom:
    return Bloom(on, BLOOM_SD_DAYS[by], by)


def _first_look(facts: RowFacts, picks: tuple[Batch, ...]) -> datetime | None:
    looked = [walk.at for walk in facts.walks] + [batch.picked_at for batch in picks]
    return min(looked, default=None)


def _by_spring(state: SeasonState, crop: str) -> date | None:
    if crop not in BLOOM_C:
        return None
    first = state.book.season.first_day - timedelta(days=_YEAR_DAYS)
    low, high = daily_temperatures(state.book, first, _YEAR_DAYS)
    place = warm_from((low + high) / 2.0, BLOOM_C[crop])
    return None if np.isnan(place) else first + timedelta(days=int(place))


FIRST_PICK_SD_DAYS: Final = 7.0
"""How far off a first pick is that spring foretells: 3 to 5 days where the line is from, and more
elsewhere (an estimate)."""

_PEACH, _RED_HAVEN = "peach", "redhaven"
_KNOWN_HOURS = 0.9
_TWO_YEARS = 731
"""Bloom in December has its days after it in the next year."""


class Springs:
    """The springs of a book's weather; of each year it is laid out once."""

    def __init__(self, book: Book, today: date) -> None:
        self._book, self._today = book, today
        self._years: dict[int, tuple[Floats, Floats]] = {}

    def of(self, cultivar: Cultivar, bloom: Bloom) -> Spring | None:
        """What spring says of a cultivar that bloomed then; None where nothing is published, or
        the weather is not known."""
        if cultivar.crop != _PEACH:
            return None
        spring = Spring(self._first_pick(cultivar, bloom), self._growing_hours(bloom))
        return None if spring == Spring(None, None) else spring

    def _first_pick(self, cultivar: Cultivar, bloom: Bloom) -> date | None:
        if "".join(filter(str.isalpha, cultivar.name.casefold())) != _RED_HAVEN:
            return None
        begin, last = date(bloom.on.year, 1, 1), date(bloom.on.year, *RED_HAVEN.until)
        days = self._known_days(begin, last)
        if days is None:
            return None
        heat = float(degree_days(*days, RED_HAVEN.base_c).mean()) * ((last - begin).days + 1)
        return begin + timedelta(days=round(float(RED_HAVEN.first_day(heat))) - 1)

    def _growing_hours(self, bloom: Bloom) -> float | None:
        """Growing degree hours of the days after a bloom that was noted."""
        if bloom.by != "noted":
            return None
        last = bloom.on + timedelta(days=DAYS_AFTER_BLOOM)
        days = self._known_days(bloom.on + timedelta(days=1), last)
        if days is None:
            return None
        return float(growing_degree_hours_of_days(*days).mean()) * DAYS_AFTER_BLOOM

    def _known_days(self, begin: date, last: date) -> tuple[Floats, Floats] | None:
        """Coldest and warmest of the known days of a span that is over; None if too few are."""
        if last >= self._today:
            return None
        year = date(begin.year, 1, 1)
        if begin.year not in self._years:
            self._years[begin.year] = daily_temperatures(self._book, year, _TWO_YEARS)
        span = slice((begin - year).days, (last - year).days + 1)
        low, high = (ends[span] for ends in self._years[begin.year])
        known = np.isfinite(low)
        return (low[known], high[known]) if known.mean() >= _KNOWN_HOURS else None

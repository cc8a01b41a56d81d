"""What the warmth of spring says of peaches, of which figures are published: when harvest begins,
and whether it comes early on small fruit."""

from datetime import date, timedelta
from typing import Final

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.orchard import Cultivar
from ripenroom.science.orchard.heat import (
    DAYS_AFTER_BLOOM,
    RED_HAVEN,
    degree_days,
    growing_degree_hours_of_days,
)
from ripenroom.science.softening import Floats
from ripenroom.season.orchard.found import Bloom, Spring
from ripenroom.season.orchard.heat import daily_temperatures

FIRST_PICK_SD_DAYS: Final = 7.0
"""How far off a first pick is that spring foretells: 3 to 5 days where the line is from, and more
elsewhere (an estimate)."""

_PEACH, _RED_HAVEN = "peach", "redhaven"
_KNOWN_PART = 0.9
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
        return (low[known], high[known]) if known.mean() >= _KNOWN_PART else None

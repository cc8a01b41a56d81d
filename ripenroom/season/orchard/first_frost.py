"""When the first frost comes: from the grower's dates, the weather so far and forecast nights."""

from datetime import date, timedelta

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.weather import FROST_ID, FrostDates
from ripenroom.science.orchard.frost import (
    FirstFrost,
    first_frost_chances,
    from_first_days,
    from_two_days,
    with_forecast_nights,
)
from ripenroom.science.softening import Floats
from ripenroom.season.orchard.found import FrostForecast
from ripenroom.season.orchard.usual import FORECAST_SD_C

_AHEAD_DAYS = 250
_EARLY_DAYS = 60
"""A first frost so long before one chance in a hundred is of the spring."""


def frost_forecast(book: Book, today: date, days: int) -> FrostForecast | None:
    """The first frost seen from today; None where no dates are known of it."""
    known = book.frost_dates.get(FROST_ID)
    first = None if known is None else _first_frost(known, today)
    if known is None or first is None:
        return None
    every = tuple(today + timedelta(days=n) for n in range(days))
    came_on = _came_on(book, known, first, today)
    if came_on is not None:
        chances = tuple(float(day == came_on) for day in every)
        return FrostForecast(every, chances, None, None, came_on, known.frost_c)
    chance = first_frost_chances(_hazard(book, known, first, today))
    by = np.cumsum(chance)
    reached = [np.flatnonzero(by >= level) for level in (0.1, 0.5)]
    tenth_on, even_on = (
        today + timedelta(days=int(when[0])) if when.size else None for when in reached
    )
    shown = tuple(float(c) for c in chance[:days])
    return FrostForecast(every, shown, tenth_on, even_on, None, known.frost_c)


def _hazard(book: Book, known: FrostDates, first: FirstFrost, today: date) -> Floats:
    """Chance of each day from today on, given no frost before. Today's night is over."""
    hazard = first.hazard(today.toordinal() + np.arange(float(_AHEAD_DAYS)))
    forecast_c = np.full(_AHEAD_DAYS, np.nan)
    for weather in book.weather.values():
        place = (weather.on - today).days
        if weather.source == "forecast" and 0 <= place < _AHEAD_DAYS:
            forecast_c[place] = weather.min_c
        elif place == 0:
            hazard[0] = 0.0
    return with_forecast_nights(hazard, forecast_c, FORECAST_SD_C, known.frost_c)


def _came_on(book: Book, known: FrostDates, first: FirstFrost, today: date) -> date | None:
    """The day on which this autumn's first frost was."""
    early = float(first.level(0.01)) - _EARLY_DAYS
    return min(
        (
            weather.on
            for weather in book.weather.values()
            if weather.source != "forecast"
            and early <= weather.on.toordinal()
            and weather.on <= today
            and weather.min_c <= known.frost_c
        ),
        default=None,
    )


def _first_frost(known: FrostDates, today: date) -> FirstFrost | None:
    """The distribution, in ordinals of the coming frost's year."""
    if known.first_frosts:
        return from_first_days([_this_season(day, today).toordinal() for day in known.first_frosts])
    if known.tenth_on is None or known.even_on is None:
        return None
    even = _this_season(known.even_on, today)
    tenth = even - (known.even_on - known.tenth_on)
    if tenth >= even:
        return None
    return from_two_days(even.toordinal(), tenth.toordinal())


def _this_season(day: date, today: date) -> date:
    """The same day of the year in the season that today is in: from half a year before it on."""
    for year in (today.year - 1, today.year, today.year + 1):
        # The 29th of February is the 1st of March of other years.
        same = date(year, 3, 1) if (day.month, day.day) == (2, 29) else day.replace(year=year)
        if (today - same).days < 183:
            return same
    return day

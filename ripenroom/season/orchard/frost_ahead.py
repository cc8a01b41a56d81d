"""What frosts that came, are forecast or usual leave of fruit that no row tells of.

The night itself is that of the rows (:mod:`ripenroom.season.orchard.frost`); what is picked these
days stands in the place of what is seen to hang.
"""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

import numpy as np

from ripenroom.records.book import Book
from ripenroom.science.orchard.frost import FALLEN_AFTER_LIGHT, LIGHT_C, left_after_frost
from ripenroom.science.softening import Floats
from ripenroom.season.orchard.frost import EARLY_DAYS, frost_forecast, share_left
from ripenroom.season.orchard.orchard_types import FrostForecast
from ripenroom.season.state import SeasonState

_FALLS_FOR = timedelta(days=len(FALLEN_AFTER_LIGHT))
"""So long fruit may still be picked that a frost brings down."""


def spared_of_picked(
    state: SeasonState, first: date, last: date, days: Sequence[date]
) -> tuple[float, ...]:
    """The share that frost leaves by each of some ``days`` from today on, on average, of a crop
    that was picked from ``first`` to ``last``.

    A frost after its first pick is of its autumn. What was picked longer after a night than fruit
    takes to fall hung on: that night did no harm.
    """
    if not days:
        return ()
    reach = (max(days) - state.today).days + 1
    blooms = [first - timedelta(days=EARLY_DAYS)]
    frost = frost_forecast(state, blooms, reach, spared_until=last)
    if frost is None:
        return (1.0,) * len(days)
    nights = tuple(n for n in frost.nights if n.on >= max(first, last - _FALLS_FOR))
    if frost.nights:
        return tuple(share_left(nights, day) for day in days)
    spared = spared_by_coming(frost, state.book)
    return tuple(spared[day] for day in days)


def spared_by_coming(frost: FrostForecast, book: Book) -> Mapping[date, float]:
    """The share that a first frost which is still to come leaves by each of its days, on average:
    where one is forecast it is as cold as that, otherwise a light one. All 1 where one came."""
    if frost.came_on is not None:
        return dict.fromkeys(frost.days, 1.0)
    forecast_c = {w.on: w.min_c for w in book.weather.values() if w.source == "forecast"}
    lowest_c = np.array([min(forecast_c.get(day, LIGHT_C), LIGHT_C) for day in frost.days])
    number = np.arange(len(frost.days))
    since = np.maximum(number[:, None] - number, 0)  # (days, nights)
    fallen: Floats = (1.0 - left_after_frost(since, lowest_c)) @ np.array(frost.chance)
    left = np.clip(1.0 - frost.may_have_come - fallen, 0.0, 1.0)
    return dict(zip(frost.days, left.tolist(), strict=True))

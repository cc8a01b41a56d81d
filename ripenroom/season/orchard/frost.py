"""When the first frost of autumn comes, and what it leaves of the fruit in each row.

The day follows from the grower's dates, the weather so far and forecast nights. What is left then
follows from published harm, and from what was seen in the row since.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.orchard import FROST_ID, FrostDates
from ripenroom.science.orchard.cohort import FOUND_SHARE
from ripenroom.science.orchard.first_frost import (
    FALLEN_AFTER_LIGHT,
    LIGHT_C,
    FirstFrost,
    first_frost_chances,
    from_first_days,
    from_two_days,
    left_after_frost,
    with_forecast_nights,
)
from ripenroom.science.softening import Floats
from ripenroom.season.amounts import fruit_picked
from ripenroom.season.moments import local_day
from ripenroom.season.orchard.orchard_rows import RowInput
from ripenroom.season.orchard.orchard_types import FrostForecast, FrostNight
from ripenroom.season.orchard.priors import FORECAST_SD_C
from ripenroom.season.state import SeasonState

_AHEAD_DAYS = 400

EARLY_DAYS = 60
"""A frost so long before one chance in a hundred, or so soon after bloom, is of the spring."""

_BEFORE_SEASON = timedelta(days=30)
"""The autumn of a season is the first one whose frost comes no earlier than this before its first
day: a season file may be begun when the first frost is over."""

_TOLD_CHANCE = 0.05
"""Where no dates are known a forecast night is told of from this chance of frost on."""


def frost_forecast(
    state: SeasonState, blooms: Sequence[date], days: int, spared_until: date = date.min
) -> FrostForecast | None:
    """The first frost seen from today, for rows that bloomed on such days; None where nothing is
    known of it: no dates, no frost yet and none forecast. There had been none ``spared_until`` a
    day, if nobody noted one."""
    book, today = state.book, state.today
    known = _known(book)
    first = _first_frost(known, book.season.first_day)
    autumn = _autumn(first, blooms)
    every = tuple(today + timedelta(days=n) for n in range(days))
    nights = _nights_of_frost(book, known.frost_c, autumn, today)
    if nights:
        came_on = nights[0].on
        chances = tuple(float(day == came_on) for day in every)
        left = tuple(share_left(nights, day) for day in every)
        return FrostForecast(every, chances, None, None, nights, left)
    begin = max(_spared_until(state, autumn), spared_until) + timedelta(days=1)
    ahead = max((today - begin).days + _AHEAD_DAYS, 1)
    chance = first_frost_chances(_hazard(book, known.frost_c, first, begin, ahead))
    by = np.cumsum(chance)
    if first is None and by[-1] < _TOLD_CHANCE:
        return None
    tenth_on, even_on = (_reached(by, level, begin) for level in (0.1, 0.5))
    now = (today - begin).days
    spread = np.concatenate([np.zeros(max(-now, 0)), chance[max(now, 0) :], np.zeros(days)])
    return FrostForecast(
        every,
        tuple(spread[:days].tolist()),
        tenth_on,
        even_on,
        may_have_come=float(chance[: max(now, 0)].sum()),
        dated=first is not None,
    )


def frost_came_on(state: SeasonState, blooms: Sequence[date]) -> date | None:
    """The first night of frost so far, for rows that bloomed on such days."""
    known = _known(state.book)
    autumn = _autumn(_first_frost(known, state.book.season.first_day), blooms)
    nights = _nights_of_frost(state.book, known.frost_c, autumn, state.today)
    return nights[0].on if nights else None


def share_left(nights: Sequence[FrostNight], on: date) -> float:
    """The share of fruit that nights of frost have left on the trees by a day."""
    since = np.array([(on - night.on).days for night in nights], float)
    lowest = np.array([night.min_c for night in nights])
    return float(left_after_frost(since, lowest).min(initial=1.0))


def _known(book: Book) -> FrostDates:
    """The grower's dates; without any only how cold a frost is."""
    return book.frost_dates.get(FROST_ID) or FrostDates(id=FROST_ID)


def _reached(by: Floats, level: float, begin: date) -> date | None:
    reached = np.flatnonzero(by >= level)
    return begin + timedelta(days=int(reached[0])) if reached.size else None


def _hazard(book: Book, frost_c: float, first: FirstFrost | None, begin: date, days: int) -> Floats:
    """Chance of each day from ``begin`` on, given no frost before. Without dates only nights that
    are forecast have any."""
    hazard = np.full(days, np.nan)
    if first is not None:
        hazard = first.hazard(begin.toordinal() + np.arange(float(days)))
    forecast_c = np.full(days, np.nan)
    for weather in book.weather.values():
        place = (weather.on - begin).days
        if weather.source == "forecast" and 0 <= place < days:
            forecast_c[place] = weather.min_c
    return np.nan_to_num(with_forecast_nights(hazard, forecast_c, FORECAST_SD_C, frost_c))


def _autumn(first: FirstFrost | None, blooms: Sequence[date]) -> date | None:
    """The day from which a frost is of this autumn; None where nothing tells."""
    if first is not None:
        return date.fromordinal(round(float(first.level(0.01)))) - timedelta(days=EARLY_DAYS)
    return max(blooms) + timedelta(days=EARLY_DAYS) if blooms else None


def _nights_of_frost(
    book: Book, frost_c: float, autumn: date | None, today: date
) -> tuple[FrostNight, ...]:
    """The nights of this autumn that brought frost so far. A day that was filled in is none: those
    between which it lies are known."""
    if autumn is None:
        return ()
    found = [
        FrostNight(weather.on, weather.min_c)
        for weather in book.weather.values()
        if weather.source in ("read", "typed")
        and autumn <= weather.on <= today
        and weather.min_c <= frost_c
    ]
    return tuple(sorted(found, key=lambda night: night.on))


def _spared_until(state: SeasonState, autumn: date | None) -> date:
    """The last day of which it is known that there had been no frost: its weather is, or a row was
    walked or picked on it. Whoever does that would say so. At least until autumn begins."""
    book, today = state.book, state.today
    seen = [w.on for w in book.weather.values() if w.source != "forecast" and w.on <= today]
    looks = [walk.at for walk in book.walks.values()]
    looks += [batch.picked_at for batch in book.batches.values() if batch.row_id is not None]
    seen += [local_day(at, state.zone) for at in looks if at <= state.now]
    # Of what is not known at all: yesterday.
    return max([*seen, autumn or today - timedelta(days=1)])


def _first_frost(known: FrostDates, first_day: date) -> FirstFrost | None:
    """The distribution, in ordinals of this season's autumn."""
    if known.first_frosts:
        return from_first_days(_of_autumn(known.first_frosts, first_day))
    if known.tenth_on is None or known.even_on is None:
        return None
    tenth, even = _of_autumn((known.tenth_on, known.even_on), first_day)
    return from_two_days(even, tenth)


def _of_autumn(days: Sequence[date], first_day: date) -> list[int]:
    """Days of the year of any years, as ordinals of one autumn: the season's."""
    one = [_in_year(day, first_day.year).toordinal() for day in days]
    # Frosts about the turn of the year lie on both sides of it.
    one = [_years_later(day, -round((day - one[-1]) / 365)) for day in one]
    earliest = (first_day - _BEFORE_SEASON).toordinal()
    years = -((sum(one) // len(one) - earliest) // 365)
    return [_years_later(day, years) for day in one]


def _years_later(day: int, years: int) -> int:
    on = date.fromordinal(day)
    return _in_year(on, on.year + years).toordinal()


def _in_year(day: date, year: int) -> date:
    # The 29th of February is the 1st of March of other years.
    return date(year, 3, 1) if (day.month, day.day) == (2, 29) else day.replace(year=year)


@dataclass(frozen=True, slots=True)
class _Seen:
    """Fruit squeezed on the trees, picked off them and found below them on a day."""

    on: date
    hung: float = 0.0
    picked: float = 0.0
    fallen: float = 0.0


def left_in_row(
    state: SeasonState,
    frost: FrostForecast | None,
    row: RowInput,
    hung: float,
    days: Sequence[date],
) -> tuple[float, ...]:
    """The share of the ``hung`` fruit of a row that frost, and picks since it, leave there by each
    of some days.

    How much a frost brings down was written of few places. Where a row is seen to hold more than
    that would leave, as much has fallen as was found below it, and a later frost counts anew.
    """
    if frost is None or frost.came_on is None or hung <= 0.0:
        return (1.0,) * len(days)
    nights, spared, taken, fallen = frost.nights, 1.0, 0.0, 0.0
    for seen in _seen_since(state, row, frost.came_on):
        fallen += seen.fallen / FOUND_SHARE
        # What is picked hung as well.
        at_least = min((seen.hung + seen.picked) / hung, 1.0)
        by_book = spared * share_left(nights, seen.on) - taken
        if at_least > by_book + 1e-9:
            spared = max(1.0 - fallen / hung, at_least + taken)
            nights = tuple(night for night in nights if night.on >= seen.on)
        taken += seen.picked / hung
    return tuple(max(spared * share_left(nights, day) - taken, 0.0) for day in days)


def _seen_since(state: SeasonState, row: RowInput, came_on: date) -> list[_Seen]:
    """What was seen of a row after the first night of frost, in order."""
    found = [
        _Seen(on, float(sum(walk.feel_counts or ())), 0.0, float(walk.on_ground or 0))
        for walk in row.facts.walks
        if walk.at <= state.now and (on := local_day(walk.at, state.zone)) > came_on
    ]
    found += [
        _Seen(on, picked=_number(state, row, batch))
        for batch in row.picks
        if batch.picked_at <= state.now and (on := local_day(batch.picked_at, state.zone)) > came_on
    ]
    return sorted(found, key=lambda seen: seen.on)


def _number(state: SeasonState, row: RowInput, batch: Batch) -> float:
    mass_g = row.facts.row.fruit_mass_g or state.crops[batch.crop].fruit_mass_g.value
    return fruit_picked(batch, mass_g / 1000.0)


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

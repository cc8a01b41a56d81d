"""The weather outdoors: days that were read or typed, what is usual, and dates of first frost.

A day has one record. What was typed for it is kept when a file is read that has the day too; what
was read goes before what was filled in or forecast.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from ripenroom.days import full_day
from ripenroom.records.orchard import (
    FROST_ID,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    WeatherSource,
    normal_id,
    weather_id,
)
from ripenroom.records.refusal import Refusal
from ripenroom.records.validation import REACH_AFTER, REACH_BEFORE, checked
from ripenroom.season.actions.action import Action
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr, tr_n

_TRUST: Final[Mapping[WeatherSource, int]] = {"forecast": 0, "filled": 1, "read": 2, "typed": 3}


@dataclass(frozen=True, slots=True)
class TakenWeather:
    """What became of the days of a file, in days.

    ``typed_kept`` stay as they were typed, ``too_far`` lie out of the season's reach.
    """

    new: int = 0
    changed: int = 0
    same: int = 0
    typed_kept: int = 0
    too_far: int = 0


def day_weather(
    on: date, min_c: float, max_c: float | None, source: WeatherSource = "typed"
) -> DayWeather:
    """The record of a day."""
    return DayWeather(id=weather_id(on), on=on, min_c=min_c, max_c=max_c, source=source)


def take_days(
    state: SeasonState, days: Iterable[DayWeather], name: str
) -> tuple[TakenWeather, Action]:
    """Take in the days of a file called ``name``; what became of them."""
    first, last = (state.book.season.first_day + reach for reach in (-REACH_BEFORE, REACH_AFTER))
    counts = dict.fromkeys(("new", "changed", "same", "typed_kept", "too_far"), 0)
    put: dict[str, DayWeather] = {}
    for found in days:
        day = checked(found)
        old = put.get(day.id) or state.book.weather.get(day.id)
        if not first <= day.on <= last:
            fate = "too_far"
        elif old is None:
            fate = "new"
        elif (old.min_c, old.max_c, old.source) == (day.min_c, day.max_c, day.source):
            fate = "same"
        elif _TRUST[old.source] > _TRUST[day.source]:
            fate = "typed_kept" if old.source == "typed" else "same"
        else:
            fate = "changed"
        counts[fate] += 1
        if fate in ("new", "changed"):
            put[day.id] = day
    taken = TakenWeather(**counts)
    label = tr_n("{n} day of weather from {name}", "{n} days of weather from {name}", len(put))
    return taken, Action(label.format(name=name), tuple(put.values()))


def save_day(state: SeasonState, day: DayWeather) -> Action:
    """Type the weather of a day, or a forecast of one that is still to come."""
    day = checked(day)
    if day.source == "forecast" and day.on < state.today:
        raise Refusal("on", "A forecast is for today or later; type what the day was instead.")
    if day.source != "forecast" and day.on > state.today:
        raise Refusal("on", "{on} is still to come: type it as a forecast night.", on=day.on)
    ahead = day.source == "forecast"
    label = tr("forecast for {on}") if ahead else tr("weather of {on}")
    return Action(label.format(on=full_day(day.on)), (day,))


def delete_days(state: SeasonState, ids: Sequence[str]) -> Action:
    """Take days of weather out of the records."""
    weather = state.book.weather
    gone = tuple(weather[each] for each in ids if each in weather)
    if not gone:
        raise Refusal("", "These days of weather are not in the season any more.")
    if len(gone) == 1:
        label = tr("deletion of the weather of {on}").format(on=full_day(gone[0].on))
        return Action(label, deleted=gone)
    label = tr_n("deletion of {n} day of weather", "deletion of {n} days of weather", len(gone))
    return Action(label, deleted=gone)


def set_normals(state: SeasonState, usual: Mapping[int, tuple[float, float]]) -> Action:
    """Say what is usual: mean coldest and warmest (C) by month. Months left out have none."""
    put = tuple(
        checked(MonthlyNormal(id=normal_id(month), month=month, min_c=low, max_c=high))
        for month, (low, high) in sorted(usual.items())
    )
    gone = tuple(each for each in state.book.monthly_normals.values() if each.month not in usual)
    return Action(tr("usual weather"), put, gone)


def set_frost(
    state: SeasonState,
    tenth_on: date | None = None,
    even_on: date | None = None,
    first_frosts: Sequence[date] = (),
    frost_c: float = 0.0,
) -> Action:
    """Say when the first frost comes: by two days, or by the days of past years."""
    frost = FrostDates(
        id=FROST_ID,
        tenth_on=tenth_on,
        even_on=even_on,
        first_frosts=tuple(sorted(first_frosts)),
        frost_c=frost_c,
    )
    return Action(tr("dates of the first frost"), (checked(frost),))


def forget_frost(state: SeasonState) -> Action:
    """Say nothing about the first frost any more."""
    frost = state.book.frost_dates.get(FROST_ID)
    if frost is None:
        raise Refusal("", "No dates of a first frost are saved.")
    return Action(tr("deletion of the dates of the first frost"), deleted=(frost,))

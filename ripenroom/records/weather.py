"""The weather outdoors: each day's coldest and warmest, what is usual, and when frost comes."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ripenroom.records.limits import FirstFrosts, FrostC, Id, MonthNumber, OutdoorC

WeatherSource = Literal["read", "typed", "filled", "forecast"]


def weather_id(on: date) -> str:
    """The id of a day's weather: two copies of a season that know the day know the same record."""
    return f"weather-{on.isoformat()}"


def normal_id(month: int) -> str:
    """The id of what is usual in a month."""
    return f"month-{month:02}"


FROST_ID = "frost"
"""The id of a season's only frost dates."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWeather:
    """The coldest and warmest air of a day (C, from midnight to midnight at home).

    ``source`` says whether it was ``read`` from a file, ``typed``, ``filled`` in between days that
    were read, or is a ``forecast``, which may leave open how warm the day gets.
    """

    id: Id
    on: date
    min_c: OutdoorC
    max_c: OutdoorC | None = None
    source: WeatherSource = "typed"


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthlyNormal:
    """The mean coldest and mean warmest (C) of the days of a month, 1 being January."""

    id: Id
    month: MonthNumber
    min_c: OutdoorC
    max_c: OutdoorC


@dataclass(frozen=True, slots=True, kw_only=True)
class FrostDates:
    """When the first frost of autumn comes: air of ``frost_c`` (C) or colder.

    Known by two days: by ``tenth_on`` it has come in one year of ten, by ``even_on`` in half of
    them. Or by the days on which it came in past years, ``first_frosts``.
    """

    id: Id
    tenth_on: date | None = None
    even_on: date | None = None
    first_frosts: FirstFrosts = ()
    frost_c: FrostC = 0.0

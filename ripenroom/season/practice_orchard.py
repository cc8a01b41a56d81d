"""The practice season before the pick: what hangs in its rows, walks, and an invented weather."""

import tomllib
from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

import numpy as np

from ripenroom.paths import resource
from ripenroom.records.book import Record
from ripenroom.records.orchard import Walk
from ripenroom.records.weather import (
    FROST_ID,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    normal_id,
    weather_id,
)

_DAY_SD_K, _REMEMBERED = 2.6, 0.7
"""How much a day differs from what is usual (K), and how much of that is left the day after."""

_SEED = 20260401


@cache
def _plan() -> Mapping[str, Any]:
    with resource("demo", "orchard.toml").open("rb") as source:
        return tomllib.load(source)


def row_fields(key: str) -> Mapping[str, Any]:
    """What is known of a row's trees and fruit, as fields of its record."""
    known = dict(_plan()["rows"].get(key, {}))
    if "branch_counts" in known:
        known["branch_counts"] = tuple(known["branch_counts"])
    return known


def orchard_records(
    make_id: Callable[..., str], moment: Callable[[int, str], datetime]
) -> Iterator[Record]:
    """Walks, weather and frost; ``make_id`` and ``moment`` are those of the practice season."""
    for day, clock, row, feels, fallen, note in _plan()["walks"]["list"]:
        yield Walk(
            id=make_id("walk", row, day),
            row_id=make_id("row", row),
            at=moment(day, clock),
            feel_counts=tuple(feels),
            on_ground=fallen,
            note=note,
        )
    yield from _weather()
    yield FrostDates(id=FROST_ID, **_plan()["frost"])


def _weather() -> Iterator[Record]:
    about = _plan()["weather"]
    months = {int(month): tuple(usual) for month, usual in about["months"].items()}
    for month, (low, high) in months.items():
        yield MonthlyNormal(id=normal_id(month), month=month, min_c=low, max_c=high)
    first, last = about["first"], about["last"]
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    middles = [(date(first.year, month, 15) - first).days for month in months]
    usual = np.array([list(pair) for pair in months.values()])
    at = np.arange(len(days))
    differs_k = _differing(len(days))
    lows = np.interp(at, middles, usual[:, 0]) + 0.8 * differs_k[0]
    highs = np.maximum(np.interp(at, middles, usual[:, 1]) + differs_k[1], lows + 3.0)
    not_kept = set(about["not_kept"])
    known = [n for n, on in enumerate(days) if on not in not_kept]
    for n, on in enumerate(days):
        low, high = (
            (lows[n], highs[n])
            if n in known
            else (np.interp(n, known, lows[known]), np.interp(n, known, highs[known]))
        )
        yield DayWeather(
            id=weather_id(on),
            on=on,
            min_c=round(float(low), 1),
            max_c=round(float(high), 1),
            source="read" if on not in not_kept else "filled",
        )
    for on, low, high in about["forecast"]:
        yield DayWeather(id=weather_id(on), on=on, min_c=low, max_c=high, source="forecast")


def _differing(days: int) -> np.ndarray[Any, np.dtype[np.float64]]:
    """How much nights and days differ from usual (K), shape (2, days): warm spells last."""
    # Twelve evenly drawn numbers make a bell: sums are the same on every machine.
    chance = np.random.Generator(np.random.PCG64(_SEED)).random((12, 2, days)).sum(axis=0) - 6.0
    fresh = _DAY_SD_K * np.sqrt(1.0 - _REMEMBERED**2) * chance
    found = np.zeros((2, days))
    for day in range(1, days):
        found[:, day] = _REMEMBERED * found[:, day - 1] + fresh[:, day]
    return found

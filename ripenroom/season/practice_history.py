"""What lies behind the practice season: rows, an invented weather, market days, a thermometer."""

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.paths import resource
from ripenroom.records.batch import Batch, Brought, Removal
from ripenroom.records.book import Book, Record
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay, Want
from ripenroom.records.orchard import (
    FROST_ID,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    Walk,
    normal_id,
    weather_id,
)
from ripenroom.records.temperature_series import Celsius, Seconds
from ripenroom.season.moments import column
from ripenroom.season.projector import Projector

_SOLD_OF_READY = 0.85
"""Share of the ready fruit that buyers took on past market days."""

_MARKET_LASTS = timedelta(hours=3)

_SETTLED_AFTER = timedelta(hours=9)
"""How long after a market began it was written down what had become of it: in the evening."""

_THROWN = 3
"""One in so many of the fruit that nobody bought was squashed, and did not come back."""

Name = Callable[..., str]
"""Makes a record's id of what it is called by."""
_DISCARDED_AFTER = timedelta(days=2)
"""From the end of a batch's window until what is left of it is thrown away."""


def sales(book: Book, profiles: Mapping[str, CropProfile], name: Name) -> list[Record]:
    """What was brought to the market days before now, and what was thrown away once past.

    Buyers take most of what the estimates say was ready, the readiest batches first, up to what
    the market day wanted. Two days after its window has closed, the rest of a batch is discarded.
    """
    now = book.season.practice_now
    assert now is not None
    outlook = Projector(profiles, ZoneInfo(book.season.zone)).outlook(book, now)
    lines = outlook.lines
    days = sorted((d for d in book.market_days.values() if d.starts_at < now), key=_starts_at)
    starts_h = column(d.starts_at for d in days)
    ready = [outlook.ready_as_estimated(np.full(len(lines.ids), hour)) for hour in starts_h]
    left = lines.picked.copy()
    closes_h = outlook.eat_by.closes.mid
    discarded_h = closes_h + _DISCARDED_AFTER / timedelta(hours=1)
    found: list[Record] = []
    for which, day in enumerate(days):
        found.append(replace(day, settled_at=day.starts_at + _SETTLED_AFTER))
        for want in (w for w in book.wants.values() if w.market_day_id == day.id):
            open_wants = want.count
            for line in (-ready[which]).argsort(kind="stable"):
                batch = book.batches[lines.ids[line]]
                if batch.crop != want.crop or batch.picked_at > day.starts_at:
                    continue
                if discarded_h[line] <= starts_h[which]:
                    continue
                fruit = left[line] * ready[which][line]
                sold = min(open_wants, int(_SOLD_OF_READY * fruit))
                if sold > 0:
                    brought = min(int(fruit), round(sold / _SOLD_OF_READY))
                    thrown = (brought - sold) // _THROWN
                    found += _outcome(batch, day, want, (brought, sold, thrown), name)
                    left[line] -= sold + thrown
                    open_wants -= sold
    # Nothing is thrown away while it stands on a market.
    over = {one.batch_id: one.at for one in found if isinstance(one, Removal)}
    return found + _discards(book, closes_h.tolist(), lines.ids, left.tolist(), now, name, over)


def _starts_at(day: MarketDay) -> datetime:
    return day.starts_at


def _outcome(
    batch: Batch, day: MarketDay, want: Want, fruit: tuple[int, int, int], name: Name
) -> list[Record]:
    brought, sold, thrown = fruit
    over = day.starts_at + _MARKET_LASTS
    found: list[Record] = [
        Brought(
            id=name("brought", batch.code, day.id),
            batch_id=batch.id,
            market_day_id=day.id,
            count=brought,
        ),
        Removal(
            id=name("sold", batch.code, day.id),
            batch_id=batch.id,
            at=over,
            count=sold,
            outcome="sold",
            market_day_id=day.id,
            price_minor=want.price_minor,
        ),
    ]
    if thrown:
        found.append(
            Removal(
                id=name("thrown", batch.code, day.id),
                batch_id=batch.id,
                at=over,
                count=thrown,
                outcome="discarded",
                market_day_id=day.id,
            )
        )
    return found


def _discards(
    book: Book,
    closes_h: Sequence[float],
    ids: Sequence[str],
    left: Sequence[float],
    now: datetime,
    name: Name,
    over: Mapping[str, datetime],
) -> list[Removal]:
    """What is thrown away; ``over`` is when a batch was sold last."""
    found = []
    for closes, batch_id, fruit in zip(closes_h, ids, left, strict=True):
        at = datetime.fromtimestamp(round(closes * 3600.0), UTC) + _DISCARDED_AFTER
        at = max(at, over.get(batch_id, at))
        if at < now and fruit >= 1.0:
            code = book.batches[batch_id].code
            found.append(
                Removal(
                    id=name("discarded", code),
                    batch_id=batch_id,
                    at=at,
                    count=int(fruit),
                    outcome="discarded",
                )
            )
    return found


_WARMER_K = 1.9
_SWING_K, _WARMEST_H = 0.9, 16.0
_COMPRESSOR_K, _COMPRESSOR_H = 0.7, 0.83
_DOOR_K, _DOOR_FADES_H = 2.6, 0.4
_DOORS_H = (7.6, 12.3, 18.1)
"""Local times of day at which the door is opened for long."""

_RESOLUTION_K = 0.1


def fridge_readings(
    span_s: tuple[int, int],
    step_s: int,
    set_point_c: float,
    failed_s: tuple[int, int],
    lost_s: tuple[int, int],
    zone: tzinfo,
) -> tuple[Seconds, Celsius]:
    """Times (UTC s) and air (C) from first to last of a span in which no clock was changed.

    The power failed between ``failed_s``: the air crept up, and came down slowly afterwards. From
    ``lost_s`` nothing was kept.
    """
    times = np.arange(span_s[0], span_s[1] + 1, step_s, dtype=np.int64)
    times = times[(times < lost_s[0]) | (times > lost_s[1])]
    ahead = datetime.fromtimestamp(span_s[0], zone).utcoffset() or timedelta(0)
    hours = (times + ahead.total_seconds()) / 3600.0
    celsius = set_point_c + _WARMER_K + _SWING_K * np.cos((hours - _WARMEST_H) * (np.pi / 12.0))
    celsius += _COMPRESSOR_K * np.sin(hours * (2.0 * np.pi / _COMPRESSOR_H))
    for door in _DOORS_H:
        celsius += _DOOR_K * np.exp(-((hours - door) % 24.0) / _DOOR_FADES_H)
    failed_h = np.clip((times - failed_s[0]) / 3600.0, 0.0, (failed_s[1] - failed_s[0]) / 3600.0)
    since_h = np.maximum(times - failed_s[1], 0) / 3600.0
    celsius += 0.75 * failed_h * np.exp(-since_h / 2.5)
    return times, np.round(celsius / _RESOLUTION_K) * _RESOLUTION_K


_DAY_SD_K, _REMEMBERED = 2.6, 0.7
"""How much a day differs from what is usual (K), and how much of that is left the day after."""

_SEED = 20260401


@cache
def _rows_and_weather() -> Mapping[str, Any]:
    with resource("demo", "orchard.toml").open("rb") as source:
        return tomllib.load(source)


def row_fields(key: str) -> Mapping[str, Any]:
    """What is known of a row's trees and fruit, as fields of its record."""
    known = dict(_rows_and_weather()["rows"].get(key, {}))
    if "branch_counts" in known:
        known["branch_counts"] = tuple(known["branch_counts"])
    return known


def orchard_records(
    make_id: Callable[..., str], moment: Callable[[int, str], datetime]
) -> Iterator[Record]:
    """Walks, weather and frost; ``make_id`` and ``moment`` are those of the practice season."""
    for day, clock, row, feels, fallen, note in _rows_and_weather()["walks"]["list"]:
        yield Walk(
            id=make_id("walk", row, day),
            row_id=make_id("row", row),
            at=moment(day, clock),
            feel_counts=tuple(feels),
            on_ground=fallen,
            note=note,
        )
    yield from _weather()
    yield FrostDates(id=FROST_ID, **_rows_and_weather()["frost"])


def _weather() -> Iterator[Record]:
    about = _rows_and_weather()["weather"]
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

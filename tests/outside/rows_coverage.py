"""``python -m tests.outside.rows_coverage [SEASONS]``: how often 80 % ranges of rows hold where
seasons go through the records, by rules that are not the program's.

Fruit goes by the heat of hours along a curve with an optimum; days differ and their weather lasts,
and what comes is known to nobody. What a picker does is as in :mod:`tests.outside.true_orchard`.
"""

import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from ripenroom.records.batch import Batch, FeelCounts
from ripenroom.records.book import Book, Record
from ripenroom.records.orchard import Cultivar, DayWeather, Row, Walk, weather_id
from ripenroom.season.crop_kinds import crops_of
from ripenroom.season.orchard.forecast import orchard_forecast
from ripenroom.season.orchard.orchard_types import FruitRange
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState
from tests.outside.coverage import Tally

Array = npt.NDArray[np.float64]

_FIRST, _DAYS, _ZONE = date(2026, 4, 1), 230, ZoneInfo("America/New_York")
_STAGES, _DROP = (19.0, 14.5, 37.0), 63.0
"""Usual heat of slight give, gives and soft, and from the first give to the drop (degree days)."""

_LOOKED_AT = (6, 14, 22)
"""Days after the first walk on which ranges are held to what comes."""

_FEWEST = 3.0


class Spring:
    """Coldest and warmest of each day, and the heat that is over at its begin."""

    def __init__(self, draw: np.random.Generator) -> None:
        day, differs = np.arange(_DAYS), np.zeros(_DAYS)
        for n in range(1, _DAYS):
            differs[n] = 0.7 * differs[n - 1] + draw.normal(0.0, 2.6)
        middle = 7.0 + 16.0 * np.sin(np.pi * (day + 35) / 265.0) + draw.normal(0.0, 0.8) + differs
        half = 5.5 + np.clip(draw.normal(0.0, 1.2, _DAYS), -3.0, 3.0)
        self.low, self.high = middle - half, middle + half
        wave = np.cos((np.arange(24)[:, None] - 15.0) * 2.0 * np.pi / 24.0)
        by_hour = np.interp(middle + half * wave, [9.0, 27.0, 34.0, 40.0], [0.0, 18.0, 12.0, 0.0])
        self.over = np.concatenate([[0.0], np.cumsum(by_hour.mean(axis=0))])

    def at(self, day: float) -> float:
        """Heat that is over at a day, with its fraction."""
        return float(np.interp(day, np.arange(_DAYS + 1), self.over))

    def records(self, until: int) -> Iterator[DayWeather]:
        """What a station wrote of the days until one, that day among them."""
        for n in range(until + 1):
            on, low, high = _FIRST + timedelta(days=n), self.low[n], self.high[n]
            yield DayWeather(
                id=weather_id(on),
                on=on,
                min_c=round(float(low), 1),
                max_c=round(float(high), 1),
                source="read",
            )


@dataclass
class TrueRow:
    """Fruit of a row, each by the heat at which it gives, gets softer (fruit, 3), and drops."""

    number: int
    bloom: int
    gives: Array
    softer: Array
    drops: Array
    there: npt.NDArray[np.bool_]
    found: npt.NDArray[np.bool_]

    @classmethod
    def drawn(
        cls, draw: np.random.Generator, number: int, spring: Spring, need: float, pace: float
    ) -> "TrueRow":
        bloom, fruit = int(draw.integers(20, 34)), int(np.exp(draw.normal(5.0, 0.4)))
        middle = spring.at(bloom) + need + draw.normal(0.0, 18.0)
        gives = middle + draw.normal(0.0, 40.0 * np.exp(draw.normal(0.0, 0.25)), fruit)
        stages = np.stack([draw.gamma(9.0, stage / 9.0, fruit) for stage in _STAGES], axis=1)
        drops = np.maximum(draw.normal(_DROP, 18.0, fruit), 10.0)
        return cls(
            number,
            bloom,
            gives,
            gives[:, None] + np.cumsum(stages, axis=1) / pace,
            gives + drops / pace,
            np.ones(fruit, bool),
            np.zeros(fruit, bool),
        )

    def feel(self, heat: float) -> npt.NDArray[np.int64]:
        """0 hard to 4 too soft."""
        later = (heat >= self.softer).sum(axis=1)
        return np.asarray((heat >= self.gives).astype(np.int64) + later)

    def hangs(self, heat: float) -> npt.NDArray[np.bool_]:
        return self.there & (self.drops > heat)

    def lost(self, heat: float) -> npt.NDArray[np.bool_]:
        return np.asarray((self.drops <= heat) | (self.feel(heat) == 4))

    def look(
        self, draw: np.random.Generator, spring: Spring, day: int, at: datetime
    ) -> Iterator[Record]:
        """A walk of thirty fruit, and a pick of most that gives."""
        heat = spring.at(day + 0.75)
        hanging = np.flatnonzero(self.hangs(heat))
        if not hanging.size:
            return
        feel = self.feel(spring.at(day + 0.75 + draw.normal(0.0, 0.3)))
        squeezed = draw.choice(hanging, min(30, hanging.size), replace=False)
        fallen = self.there & (self.drops <= heat) & ~self.found
        self.found |= fallen
        yield Walk(
            id=f"walk {self.number} {day}",
            row_id=f"row {self.number}",
            at=at,
            feel_counts=_counts(feel[squeezed]),
            on_ground=int(draw.binomial(int(fallen.sum()), 0.7)),
        )
        taken = self.hangs(heat) & (feel > 0)
        taken &= draw.random(taken.size) < draw.uniform(0.65, 0.98)
        if taken.any():
            self.there &= ~taken
            yield Batch(
                id=f"batch {self.number} {day}",
                code=f"P-{day:03}-{self.number}",
                crop="pawpaw",
                cultivar_id="c",
                row_id=f"row {self.number}",
                picked_at=at + timedelta(minutes=20),
                count=int(taken.sum()),
                feel_counts=_counts(feel[taken]),
            )


def _counts(feel: npt.NDArray[np.int64]) -> FeelCounts:
    a, b, c, d, e = np.bincount(feel, minlength=5).tolist()
    return a, b, c, d, e


def run(seed: int, by_heat: bool, tally: Tally) -> None:
    """One season of three rows of one cultivar."""
    draw = np.random.default_rng(seed)
    spring = Spring(draw)
    need, pace = draw.normal(1380.0, 130.0), float(np.exp(draw.normal(0.0, 0.3)))
    rows = [TrueRow.drawn(draw, number, spring, need, pace) for number in range(3)]
    seen: list[Record] = [Cultivar(id="c", crop="pawpaw", name="C")]
    for row in rows:
        counted = max(int(row.gives.size * np.exp(draw.normal(0.0, 0.25))), 1)
        seen.append(
            Row(
                id=f"row {row.number}",
                name=f"Row {row.number}",
                cultivar_id="c",
                bloomed_on=_FIRST + timedelta(days=row.bloom),
                fruit_on_trees=counted,
                fruit_doubt=0.38,
                counted_on=_FIRST + timedelta(days=125),
            )
        )
    first = int(np.searchsorted(spring.over, spring.over[24] + need)) - 18
    for day in range(first, min(first + 40, _DAYS - 12)):
        evening = datetime(2026, 4, 1, 18, tzinfo=_ZONE) + timedelta(days=day)
        for row in rows:
            if (day + row.number) % 3 == 0:
                seen.extend(row.look(draw, spring, day, evening.astimezone(UTC)))
        if day - first in _LOOKED_AT:
            weather = spring.records(day) if by_heat else ()
            _hold(rows, spring, day, [*seen, *weather], tally)


def _hold(rows: list[TrueRow], spring: Spring, day: int, seen: list[Record], tally: Tally) -> None:
    """Hold the ranges of one evening to what becomes of the fruit if nobody picks."""
    known = demo_book()
    book = Book(season=replace(known.season, zone=_ZONE.key, practice_now=None))
    now = datetime(2026, 4, 1, 20, tzinfo=_ZONE) + timedelta(days=day)
    state = SeasonState(book, crops_of(book).profiles, now.astimezone(UTC), _ZONE)
    told = orchard_forecast(state.with_changes(seen))
    today = spring.at(day + 20.0 / 24.0)
    for row in rows:
        found = told.of_row(f"row {row.number}")
        assert found is not None
        hanging = row.hangs(today)
        _add(tally, "hanging now", found.hanging, hanging.sum())
        for ahead in (3, 7):
            then = spring.at(day + ahead + 0.5)
            ready = row.hangs(then) & (row.feel(then) > 0) & (row.feel(then) < 4)
            _add(tally, f"ready in {ahead} days", found.ready[ahead], ready.sum())
        lost = hanging & ~row.lost(today) & row.lost(spring.at(day + 5.5))
        _add(tally, "lost within 5 days", found.lost[5], lost.sum())
        for ahead in (3, 7):
            on = [n for n, count in enumerate(found.picks[: ahead + 1]) if count.high > 0.0]
            told_by = found.by(found.days[ahead])
            _add(tally, f"to pick within {ahead} days", told_by, _picked(row, spring, day, on))


def _picked(row: TrueRow, spring: Spring, day: int, on: list[int]) -> int:
    """Fruit that are found if all that gives is taken so many days ahead."""
    taken = np.zeros(row.gives.size, bool)
    for ahead in on:
        heat = spring.at(day + (ahead + 0.5 if ahead else 20.0 / 24.0))
        feel = row.feel(heat)
        taken |= row.hangs(heat) & (feel > 0) & (feel < 4)
    return int(taken.sum())


def _add(tally: Tally, what: str, told: FruitRange, true: int) -> None:
    """Whole fruit lie within ends that are rounded."""
    if told.mid >= _FEWEST:
        ends = np.array([told.low - 0.5]), np.array([told.mid]), np.array([told.high + 0.5])
        tally.add(what, *ends, np.array([float(true)]))


def tally(seeds: Iterable[int], by_heat: bool) -> Tally:
    """Seasons of these seeds, by heat or by the calendar."""
    found = Tally()
    for seed in seeds:
        run(seed, by_heat, found)
    return found


def main(seasons: int) -> None:
    """Print how often each range held."""
    print("| 80 % range of | ranges | held, % |\n| --- | ---: | ---: |")
    for by_heat in (True, False):
        found = tally(range(seasons), by_heat)
        for what, held in found.held.items():
            way = "by heat" if by_heat else "by the calendar"
            print(f"| {what}, {way} | {len(held)} | {100 * found.share(what):.1f} |")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)

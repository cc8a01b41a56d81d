"""The next seven days on the page Today: what gets ready, what has its last day, what markets."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ripenroom.season.amounts import LEAST_FRUIT
from ripenroom.season.moments import day_starts
from ripenroom.season.projection import FloatColumn
from ripenroom.wording.alike import Alike, alike
from ripenroom.wording.reader import Reader
from ripenroom.wording.today.one_story import leaves_h, still_there

WEEK_DAYS = 7


@dataclass(frozen=True, slots=True)
class DayRow:
    """What opens, closes and is sold on one of the next days; pairs are text and link."""

    day: date
    opens: tuple[Alike, ...]
    closes: tuple[Alike, ...]
    markets: tuple[tuple[str, str], ...]


def week_ahead(reader: Reader, today: date) -> tuple[DayRow, ...]:
    """A row for each of them, from today on."""
    season, projection = reader.season, reader.projection()
    edges = day_starts(today, WEEK_DAYS + 1, season.zone)
    left = projection.left > 0
    leaves, ends = leaves_h(reader), leaves_h(reader, ends=True)
    opens = _by_day(reader, np.where(left, projection.opens_h.mid, np.nan), edges, leaves)
    closes = _by_day(reader, np.where(left, projection.closes_h.mid, np.nan), edges, ends)
    markets: list[list[tuple[str, str]]] = [[] for _ in range(WEEK_DAYS)]
    for day in sorted(season.book.market_days.values(), key=lambda day: day.starts_at):
        n = (reader.words.local(day.starts_at).date() - today).days
        if 0 <= n < WEEK_DAYS:
            markets[n].append((day.name, f"market:{day.id}"))
    return tuple(
        DayRow(today + timedelta(days=n), opens[n], closes[n], tuple(markets[n]))
        for n in range(WEEK_DAYS)
    )


def _by_day(
    reader: Reader,
    hours: FloatColumn,
    edges: FloatColumn,
    leaves: Mapping[str, Sequence[tuple[float, float]]],
) -> list[tuple[Alike, ...]]:
    """The batches whose hour falls on each day between the edges, by crop and feel; of fruit that
    the plan has moved or sold by then the hour would be that of where it is no more."""
    projection = reader.projection()
    day_of = np.searchsorted(edges, hours, side="right") - 1
    found: list[list[tuple[str, float]]] = [[] for _ in range(WEEK_DAYS)]
    for line in np.flatnonzero(np.isfinite(hours) & (day_of >= 0) & (day_of < WEEK_DAYS)):
        batch_id = projection.batch_ids[int(line)]
        fruit = still_there(batch_id, float(projection.left[line]), float(hours[line]), leaves)
        if fruit >= LEAST_FRUIT:
            found[int(day_of[line])].append((batch_id, fruit))
    return [tuple(alike(fruit, reader)) for fruit in found]

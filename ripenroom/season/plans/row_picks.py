"""Picks that the rows of trees make likely: of cultivars whose fruit was counted and walked.

They stand in the place of those that the last picks make likely where both speak of the same
cultivar: what hangs in a row is known better than how long a harvest usually lasts.
"""

import math
from collections import Counter
from collections.abc import Mapping
from datetime import date, timedelta

from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick
from ripenroom.season.orchard.forecast import orchard_forecast
from ripenroom.season.orchard.frost import spared_by_coming
from ripenroom.season.orchard.orchard_types import NO_FRUIT, Z_80, FruitRange, RowForecast
from ripenroom.season.plans.plan import CountRange, LikelyPick, roughly
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_by_batch

EVERY = timedelta(days=2)
"""Picks lie so far apart, each with all that is found since the one before."""

FEWEST = 5
"""Picks of fewer fruit are left out."""


def picks_from_rows(
    state: SeasonState, ends: Mapping[tuple[str, str | None], date], prefix: str
) -> dict[tuple[str, str], list[LikelyPick]]:
    """Likely picks by crop and cultivar, in the order of their days; ids begin with ``prefix``.

    A cultivar is there, with none, as soon as one of its rows was counted and walked. Nothing is
    likely from the day on from which nothing more of a crop or a cultivar comes (``ends``). Rows
    are told as if no frost came that has not come yet: here one that is likely takes its part.
    """
    book = state.book
    if not book.walks:
        return {}
    rows: dict[tuple[str, str], list[RowForecast]] = {}
    orchard = orchard_forecast(state)
    for row in orchard.rows:
        cultivar = book.cultivars.get(book.rows[row.row_id].cultivar_id or "")
        if cultivar is not None and row.walks:
            rows.setdefault((cultivar.crop, cultivar.id), []).append(row)
    places = _usual_places(book)
    spared = {} if orchard.frost is None else spared_by_coming(orchard.frost, book)
    found: dict[tuple[str, str], list[LikelyPick]] = {}
    for kind, of_kind in rows.items():
        crop, cultivar_id = kind
        over = min(ends.get((crop, None), date.max), ends.get(kind, date.max))
        place_id = places.get(crop) or _any_place(book)
        found[kind] = [
            _likely(f"{prefix}{crop} {cultivar_id} {on}", crop, cultivar_id, on, count, place_id)
            for on, hangs in _by_days(of_kind, state.today)
            if place_id is not None
            and on < over
            and round((count := _frozen(hangs, spared.get(on, 1.0))).mid) >= FEWEST
        ]
    return found


def _by_days(rows: list[RowForecast], today: date) -> list[tuple[date, FruitRange]]:
    """All that the rows bring on every other day from tomorrow on; rows are off together."""
    last = min(row.days[-1] for row in rows)
    on, since, found = today + timedelta(days=1), today - timedelta(days=1), []
    while on <= last:
        count = NO_FRUIT
        for row in rows:
            for day, one in zip(row.days, row.picks, strict=True):
                if since < day <= on:
                    count += one
        found.append((on, count))
        since, on = on, on + EVERY
    return found


def _frozen(hangs: FruitRange, spared: float) -> FruitRange:
    """What comes of a pick where frost has left all or nothing by then, on average a part
    ``spared``: its range holds both as far as they are likely."""
    mid = spared * hangs.mid
    of_frost = Z_80 * hangs.mid * math.sqrt(spared * (1.0 - spared))
    low, high = (spared * (end - hangs.mid) for end in (hangs.low, hangs.high))
    return FruitRange(
        max(mid - math.hypot(low, of_frost), 0.0), mid, mid + math.hypot(high, of_frost)
    )


def _likely(
    pick_id: str, crop: str, cultivar_id: str, on: date, count: FruitRange, place_id: str | None
) -> LikelyPick:
    assert place_id is not None, "without a place nothing is likely"
    mid = round(count.mid)
    pick = ExpectedPick(
        id=pick_id, crop=crop, on=on, count=mid, place_id=place_id, cultivar_id=cultivar_id
    )
    sd = (count.high - count.low) / (2.0 * Z_80)
    of_day = min(math.sqrt(mid), sd)
    about = CountRange(roughly(round(count.low)), roughly(mid), roughly(round(count.high)))
    # What is not known of a row moves all its picks alike; only the counting differs by day.
    return LikelyPick(pick, about, of_day, math.sqrt(sd**2 - of_day**2), 0.0, pick_days=0)


def _usual_places(book: Book) -> dict[str, str]:
    """The place that most batches of each crop were put into when they were picked."""
    counts: dict[str, Counter[str]] = {}
    moves = moves_by_batch(book)
    # As they were picked, so that equals come out alike whatever the order of records in a file.
    for batch in sorted(book.batches.values(), key=lambda one: (one.picked_at, one.code)):
        if own := moves.get(batch.id):
            counts.setdefault(batch.crop, Counter())[own[0].place_id] += 1
    return {crop: count.most_common(1)[0][0] for crop, count in counts.items()}


def _any_place(book: Book) -> str | None:
    """Where fruit of a crop goes that was never picked: a cold room if there is one."""
    places = sorted(book.places.values(), key=lambda p: (p.kind != "cold room", p.name, p.id))
    return places[0].id if places else None

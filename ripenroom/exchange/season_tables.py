"""Everything that was written down, as tables for spreadsheets: names instead of ids.

Times are local, in ISO 8601 with their offset; temperatures are in degrees Celsius, weights in
kilograms, prices in the season's currency. What ripenroom reads from tables has the same columns.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from ripenroom.exchange.farm_tables import eat_by_table
from ripenroom.exchange.plan_tables import money
from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.season.actions.table_rows import FEEL_KEYS
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

GAUGE_COLUMNS = ("readings", "reading_unit", "probe_mm")
PICK_COLUMNS = (
    *("batch", "crop", "cultivar", "row", "picked_at", "count", "weight_kg"),
    *(*FEEL_KEYS, *GAUGE_COLUMNS, "pulp_c", "place", "note", "split_from"),
)
CHECK_COLUMNS = ("batch", "at", *FEEL_KEYS, *GAUGE_COLUMNS, "counted", "note")
MARKET_COLUMNS = (
    *("market_day", "kind", "starts_at", "eat_within_days"),
    *("crop", "wanted", "price", "sold_by", "amount", "unit_price", "fruit_per_box", "note"),
)
PLACE_COLUMNS = (
    *("place", "kind", "set_point_c", "half_cooling_h", "daily_swing_k", "capacity_crates"),
    "weather_lag_h",
)
ROW_COLUMNS = (
    *("row", "crop", "cultivar", "trees", "planted_year", "bloomed_on", "fruit_on_trees"),
    *("branch_counts", "branches_per_tree", "counted_on", "fruit_doubt", "fruit_mass_g"),
)
WALK_COLUMNS = ("row", "at", *FEEL_KEYS, "on_ground", "note")
WEATHER_COLUMNS = ("on", "min_c", "max_c", "source")
MOVE_COLUMNS = ("batch", "at", "place")
SALE_COLUMNS = ("batch", "at", "count", "outcome", "grade", "price", "market_day")

_Rows = Iterable[tuple[object, ...]]


def season_tables(season: Season) -> "dict[str, pd.DataFrame]":
    """Every table by its name, in the order of a season's work."""
    import pandas as pd

    made: Mapping[str, tuple[tuple[str, ...], Callable[[Season], _Rows]]] = {
        "picks": (PICK_COLUMNS, _picks),
        "checks": (CHECK_COLUMNS, _checks),
        "moves": (MOVE_COLUMNS, _moves),
        "market days": (MARKET_COLUMNS, _market_days),
        "sold and discarded": (SALE_COLUMNS, _sales),
        "places": (PLACE_COLUMNS, _places),
        "rows": (ROW_COLUMNS, _tree_rows),
        "walks": (WALK_COLUMNS, _walks),
        "weather": (WEATHER_COLUMNS, _weather),
    }
    tables = {
        name: pd.DataFrame(list(rows(season)), columns=list(columns), dtype=object)
        for name, (columns, rows) in made.items()
    }
    tables["eat-by windows"] = eat_by_table(season)
    return tables


def _picks(season: Season) -> _Rows:
    book = season.book
    for batch in sorted(book.batches.values(), key=lambda b: (b.picked_at, b.code)):
        first = next(iter(season.moves_of(batch.id)), None)
        parent = book.batches.get(batch.split_from or "")
        yield (
            batch.code,
            batch.crop,
            _name(book.cultivars, batch.cultivar_id),
            _name(book.rows, batch.row_id),
            _local(season, batch.picked_at),
            batch.count,
            batch.weight_kg,
            *_felt(batch.feel_counts),
            *_gauged(batch.readings, batch.reading_unit, batch.probe_mm),
            batch.pulp_c,
            _name(book.places, first.place_id) if first else "",
            batch.note,
            parent.code if parent else "",
        )


def _checks(season: Season) -> _Rows:
    book = season.book
    for check in sorted(book.checks.values(), key=lambda c: (c.at, c.id)):
        yield (
            book.batches[check.batch_id].code,
            _local(season, check.at),
            *_felt(check.feel_counts),
            *_gauged(check.readings, check.reading_unit, check.probe_mm),
            "yes" if check.counted else "no",
            check.note,
        )


def _moves(season: Season) -> _Rows:
    book = season.book
    for move in sorted(book.moves.values(), key=lambda m: (m.at, m.id)):
        yield (
            book.batches[move.batch_id].code,
            _local(season, move.at),
            _name(book.places, move.place_id),
        )


def _market_days(season: Season) -> _Rows:
    book = season.book
    for day in sorted(book.market_days.values(), key=lambda d: (d.starts_at, d.id)):
        wants = [w for w in book.wants.values() if w.market_day_id == day.id]
        about = (day.name, day.kind, _local(season, day.starts_at), day.eat_within_days)
        if not wants:
            yield (*about, "", None, "", "", None, "", None, day.note)
        for want in sorted(wants, key=lambda w: w.crop):
            yield (
                *about,
                want.crop,
                want.count,
                _price(season, want.price_minor),
                want.sold_by,
                want.amount,
                _price(season, want.unit_price_minor),
                want.fruit_per_box,
                day.note,
            )


def _sales(season: Season) -> _Rows:
    book = season.book
    for removal in sorted(book.removals.values(), key=lambda r: (r.at, r.id)):
        yield (
            book.batches[removal.batch_id].code,
            _local(season, removal.at),
            removal.count,
            removal.outcome,
            removal.grade,
            _price(season, removal.price_minor),
            _name(book.market_days, removal.market_day_id),
        )


def _places(season: Season) -> _Rows:
    for place in sorted(season.book.places.values(), key=lambda p: p.name):
        yield (
            place.name,
            place.kind,
            season.set_point_c(place.id),
            place.half_cooling_h,
            place.daily_swing_k,
            place.capacity_crates,
            place.weather_lag_h,
        )


def _tree_rows(season: Season) -> _Rows:
    book = season.book
    for row in sorted(book.rows.values(), key=lambda r: (r.name, r.id)):
        cultivar = book.cultivars.get(row.cultivar_id or "")
        yield (
            row.name,
            cultivar.crop if cultivar else "",
            _name(book.cultivars, row.cultivar_id),
            row.trees,
            row.planted_year,
            row.bloomed_on,
            row.fruit_on_trees,
            " ".join(map(str, row.branch_counts)),
            row.branches_per_tree,
            row.counted_on,
            row.fruit_doubt,
            row.fruit_mass_g,
        )


def _walks(season: Season) -> _Rows:
    book = season.book
    for walk in sorted(book.walks.values(), key=lambda w: (w.at, w.id)):
        yield (
            _name(book.rows, walk.row_id),
            _local(season, walk.at),
            *_felt(walk.feel_counts),
            walk.on_ground,
            walk.note,
        )


def _weather(season: Season) -> _Rows:
    for day in sorted(season.book.weather.values(), key=lambda d: d.on):
        yield day.on, day.min_c, day.max_c, day.source


def _name(shelf: Mapping[str, Any], key: str | None) -> str:
    found = shelf.get(key or "")
    return found.name if found else ""


def _local(season: Season, at: datetime) -> str:
    return at.astimezone(season.zone).isoformat(timespec="minutes")


def _price(season: Season, minor: int | None) -> str:
    return "" if minor is None else money(season, minor)


def _felt(counts: FeelCounts | None) -> tuple[int | None, ...]:
    return counts if counts is not None else (None,) * len(FEELS)


def _gauged(
    readings: tuple[float, ...], unit: str | None, probe_mm: float | None
) -> tuple[object, ...]:
    return " ".join(f"{reading:g}" for reading in readings), unit or "", probe_mm

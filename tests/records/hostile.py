"""Seasons whose rows or members were edited by somebody who means no good, and how to make them.

Each value stands in a place of the practice season where no form would have let it in. The digests
are made again, so that nothing but the value itself gives it away.
"""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from ripenroom.exchange.season_json import json_text
from ripenroom.paths import resource
from ripenroom.records.batch import Brought, Treatment
from ripenroom.records.book import SHELF_OF, Book
from ripenroom.records.check import Check, Lesson, TreeLesson
from ripenroom.records.file.digest import digest_of, reseal
from ripenroom.records.file.mapping import TABLE_OF
from ripenroom.records.file.undo_log import entries_of
from ripenroom.records.market import ExpectedPick, Pin, SecondGrade
from ripenroom.records.orchard import (
    FROST_ID,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    OwnCrop,
    Walk,
    normal_id,
    weather_id,
)
from ripenroom.records.season import SeasonDetails
from ripenroom.season.practice import demo_book

KIND_OF = {shelf: kind for kind, shelf in SHELF_OF.items()} | {"season": SeasonDetails}


def full_book() -> Book:
    """The practice season with at least one record of every kind; those ids come first."""
    book = demo_book()
    batch = next(b for b in book.batches.values() if b.crop == "pawpaw")
    place = next(iter(book.places.values()))
    day = next(iter(book.market_days.values()))
    row = next(iter(book.rows.values()))
    first = book.season.first_day - timedelta(days=390)
    now = book.season.practice_now
    assert now is not None
    return book.with_changes(
        (
            ExpectedPick(
                id="0-expected",
                crop="pawpaw",
                on=now.date() + timedelta(days=2),
                count=60,
                place_id=place.id,
            ),
            SecondGrade(id="0-pulp", crop="quince", price_minor=40, fruit_per_day=60),
            Brought(id="0-brought", batch_id=batch.id, market_day_id=day.id, count=3),
            Treatment(id="0-treated", batch_id=batch.id, at=batch.picked_at, hours=24.0),
            Pin(id="0-pinned", batch_id=batch.id, crates=1),
            Check(
                id="0-gauged",
                batch_id=batch.id,
                at=batch.picked_at + timedelta(hours=5),
                readings=(20.0, 22.5),
                reading_unit="N",
                probe_mm=8.0,
            ),
            Lesson(
                id="0-lesson",
                crop="pawpaw",
                cultivar=None,
                log_rate=0.1,
                log_rate_sd=0.2,
                checks=6,
                taught_by="2025",
                log_life=0.3,
                log_life_sd=0.15,
            ),
            OwnCrop(
                id="0-own", key="quince", text=resource("crops", "quince.toml").read_text("utf-8")
            ),
            TreeLesson(
                id="0-tree-lesson",
                crop="pawpaw",
                cultivar=None,
                by_heat=False,
                needs_days=140.0,
                needs_sd=6.0,
                log_spread=1.4,
                log_spread_sd=0.3,
                log_pace=0.1,
                log_pace_sd=0.2,
                walks=12,
                taught_by="2025",
            ),
            Walk(id="0-walk", row_id=row.id, at=batch.picked_at, feel_counts=(20, 6, 3, 1, 0)),
            DayWeather(id=weather_id(first), on=first, min_c=8.0, max_c=19.0, source="read"),
            MonthlyNormal(id=normal_id(1), month=1, min_c=-4.0, max_c=3.0),
            FrostDates(id=FROST_ID, first_frosts=(date(2019, 10, 20), date(2021, 11, 2))),
        )
    )


@dataclass(frozen=True)
class Hostile:
    """A value, as JSON writes it, that must not stand in a field of a record of a shelf."""

    shelf: str
    field: str
    value: Any

    def __str__(self) -> str:
        value = self.value
        begun = value[:30] if isinstance(value, str) else value  # some are 10 MB long
        return f"{self.shelf}.{self.field}={begun!r:.30}"


def moment(year: int, month: int = 1) -> str:
    return f"{year:04}-{month:02}-01T00:00:00Z"


_LONG = "x" * 9_900_000
_DEEP = "[" * 200_000

HOSTILE: tuple[Hostile, ...] = (
    *(Hostile("places", "half_cooling_h", v) for v in (0.0, -1.0, 1e-300, 1e308, 1000.0)),
    *(Hostile("places", "daily_swing_k", v) for v in (-0.1, 1e308, 500.0)),
    *(Hostile("places", "capacity_crates", v) for v in (0, 2**62)),
    Hostile("places", "kind", "silo"),
    *(Hostile("places", "name", v) for v in ("", "  ", "two\nlines", _LONG)),
    *(Hostile("set_points", "set_point_c", v) for v in (1e308, -273.0, 500.0)),
    *(Hostile("set_points", "at", moment(v)) for v in (1, 1969, 2100, 9999)),
    *(Hostile("batches", "picked_at", moment(v)) for v in (1, 2000, 9999)),
    *(Hostile("batches", "count", v) for v in (0, -1, 10**9, 2**62)),
    *(Hostile("batches", "weight_kg", v) for v in (-1.0, 1e308)),
    *(Hostile("batches", "pulp_c", v) for v in (1e308, -200.0)),
    *(Hostile("batches", "crop", v) for v in ("", "Ünknown", "../../etc", _LONG)),
    *(Hostile("batches", "code", v) for v in ("", "x" * 500, "a\tb")),
    Hostile("batches", "note", _LONG),
    *(Hostile("batches", "feel_counts", v) for v in ([0] * 5, [-1, 2, 0, 0, 0], [10**9] * 5)),
    Hostile("batches", "feel_counts", [1, 2]),
    *(Hostile("checks", "readings", v) for v in ([0.0], [1e308], [-1.0], [1.0] * 100_000)),
    *(Hostile("checks", "probe_mm", v) for v in (1e-9, 1e308)),
    Hostile("checks", "reading_unit", None),
    Hostile("checks", "at", moment(9999)),
    *(Hostile("moves", "at", moment(v)) for v in (1, 1900, 9999)),
    *(Hostile("removals", "count", v) for v in (0, 10**12)),
    *(Hostile("removals", "price_minor", v) for v in (-1, 10**15)),
    Hostile("removals", "outcome", "eaten"),
    *(Hostile("market_days", "starts_at", moment(v)) for v in (1, 9999)),
    *(Hostile("market_days", "eat_within_days", v) for v in (-1, 10**9)),
    Hostile("market_days", "kind", "rave"),
    Hostile("market_days", "settled_at", moment(9999)),
    *(Hostile("wants", "count", v) for v in (-1, 10**12)),
    *(Hostile("wants", "price_minor", v) for v in (-1, 10**15)),
    *(Hostile("treatments", "hours", v) for v in (0.0, 1e308)),
    Hostile("treatments", "at", moment(9999)),
    *(Hostile("cultivars", "rate_factor", v) for v in (0.0, 1e-12, 1e308)),
    *(Hostile("cultivars", "crop_group", v) for v in ("", " ", "two\nlines", "a\tb", _LONG)),
    *(Hostile("rows", "trees", v) for v in (-1, 10**15)),
    *(Hostile("rows", "planted_year", v) for v in (0, 10**6)),
    *(Hostile("rows", "bloomed_on", v) for v in ("0001-01-01", "9999-12-31")),
    *(Hostile("rows", "fruit_on_trees", v) for v in (-1, 10**15, 5)),
    *(Hostile("rows", "branch_counts", v) for v in ([-1], [10**9], [1] * 100_000)),
    # Of a row whose fruit were counted on some branches.
    *(Hostile("rows", "branches_per_tree", v) for v in (0, 10**9, None)),
    *(Hostile("rows", "fruit_doubt", v) for v in (0.0, 1e308)),
    *(Hostile("rows", "fruit_mass_g", v) for v in (0.0, 1e308)),
    *(Hostile("places", "weather_lag_h", v) for v in (-1.0, 1e308)),
    *(Hostile("walks", "feel_counts", v) for v in ([0] * 5, [-1, 2, 0, 0, 0], [10**9] * 5, None)),
    *(Hostile("walks", "on_ground", v) for v in (-1, 10**12)),
    *(Hostile("walks", "at", moment(v)) for v in (1, 9999)),
    Hostile("walks", "note", _LONG),
    *(Hostile("weather", "min_c", v) for v in (1e308, -273.0, 19.5)),
    *(Hostile("weather", "max_c", v) for v in (1e308, None)),
    *(Hostile("weather", "on", v) for v in ("0001-01-01", "9999-12-31", "2026-09-01")),
    Hostile("weather", "source", "dreamt"),
    *(Hostile("monthly_normals", "month", v) for v in (0, 13, 2)),
    *(Hostile("monthly_normals", "max_c", v) for v in (1e308, -5.0)),
    *(
        Hostile("frost_dates", "first_frosts", v)
        for v in ([], ["0001-01-01"], ["2019-10-20"] * 2, ["x"], ["2019-10-20"] * 100_000)
    ),
    Hostile("frost_dates", "even_on", "2026-10-20"),
    Hostile("frost_dates", "frost_c", 1e308),
    *(Hostile("tree_lessons", "needs_days", v) for v in (0.0, 1e308)),
    *(Hostile("tree_lessons", "needs_sd", v) for v in (0.0, 1e308)),
    *(Hostile("tree_lessons", "log_pace", v) for v in (-50.0, 1e308)),
    Hostile("tree_lessons", "log_spread", 1e308),
    Hostile("tree_lessons", "days_off", 0.0),
    Hostile("tree_lessons", "walks", 0),
    *(Hostile("pins", "crates", v) for v in (0, 10**15)),
    Hostile("pins", "pull_at", moment(2026, 9)),
    *(Hostile("brought", "count", v) for v in (0, 10**12)),
    *(Hostile("expected_picks", "count", v) for v in (-1, 10**12)),
    *(Hostile("expected_picks", "on", v) for v in ("0001-01-01", "9999-12-31")),
    Hostile("expected_picks", "feel", "squishy"),
    *(Hostile("second_grades", "price_minor", v) for v in (-1, 10**15)),
    Hostile("second_grades", "fruit_per_day", 0),
    *(Hostile("lessons", "log_rate", v) for v in (1e308, -50.0)),
    *(Hostile("lessons", "log_rate_sd", v) for v in (0.0, 1e308)),
    *(Hostile("lessons", "log_life", v) for v in (1e308, -50.0)),
    *(Hostile("lessons", "log_life_sd", v) for v in (0.0, 1e308)),
    *(Hostile("lessons", "checks", v) for v in (0, 10**15)),
    Hostile("lessons", "taught_by", _LONG),
    *(Hostile("own_crops", "key", v) for v in ("", "No Key", "x" * 300)),
    Hostile("own_crops", "text", _LONG),
    Hostile("temperature_logs", "starts_at", moment(1970)),
    Hostile("temperature_logs", "name", "x" * 5000),
    *(Hostile("season", "zone", v) for v in ("", "Mars/Olympus", "../../etc/passwd")),
    *(Hostile("season", "first_day", v) for v in ("0001-01-01", "9999-12-31", "1000-06-01")),
    *(Hostile("season", "currency", v) for v in ("", "euro", "€")),
    *(Hostile("season", "units", v) for v in ("imperial", "")),
    *(Hostile("season", "crates_moved_per_evening", v) for v in (0, 10**12)),
    *(Hostile("season", "crate_move_minor", v) for v in (-1, 10**15)),
    *(Hostile("season", "practice_now", moment(v)) for v in (1, 9999)),
    *(Hostile("season", "name", v) for v in ("", _LONG)),
)
"""What an attack that sought crashes and hangs tried, and its like."""


def stored(value: Any, field: str) -> Any:
    """A JSON value as a column of a season file keeps it."""
    if isinstance(value, list):
        return json.dumps(value)
    if isinstance(value, str) and (field == "at" or field.endswith(("_at", "_now"))):
        return int(
            (datetime.fromisoformat(value) - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds()
        )
    return value


def edit_row(path: Path, hostile: Hostile) -> None:
    """Put a value into the first row of its table, and make all digests fit it."""
    table = TABLE_OF[KIND_OF[hostile.shelf]].name
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute("BEGIN")
        connection.execute(
            f'UPDATE {table} SET "{hostile.field}" = ?'
            f" WHERE id = (SELECT id FROM {table} ORDER BY id LIMIT 1)",
            (stored(hostile.value, hostile.field),),
        )
        reseal(connection)
        connection.execute("COMMIT")


def edit_undo(path: Path, column: str, value: Any) -> None:
    """Put a value into how the only step of a file takes a column back, or how it is done."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("BEGIN")
        if column == "inverse":
            connection.execute("UPDATE undo_log SET inverse = ?", (value,))
        else:
            connection.execute(
                "UPDATE undo_log SET value = ? WHERE column_name = ?", (value, column)
            )
        [step] = connection.execute("SELECT id FROM undo_step").fetchone()
        digest = digest_of(*entries_of(connection, step))
        connection.execute("UPDATE undo_step SET log_digest = ?", (digest,))
        reseal(connection)
        connection.execute("COMMIT")


def edit_json(text: str, hostile: Hostile) -> str:
    """Put a value into the first record of its list."""
    whole = json.loads(text)
    member = whole[hostile.shelf]
    record = member if hostile.shelf == "season" else min(member, key=lambda each: each["id"])
    record[hostile.field] = hostile.value
    return json.dumps(whole)


def deep_json() -> Iterator[str]:
    """JSON that is nested deeper than any reader likes, at the top and within a record."""
    yield _DEEP
    yield '{"format": "ripenroom season", "version": 1, "season": ' + _DEEP
    text = json.loads(json_text(demo_book()))
    text["batches"][0]["note"] = "HERE"
    yield json.dumps(text).replace('"HERE"', _DEEP + "]" * len(_DEEP))


def edited(book: Book, hostile: Hostile) -> Any:
    """The record with its value, as a slip of the program would hand it to the file."""
    if hostile.shelf == "season":
        record: Any = book.season
    else:
        shelf = getattr(book, hostile.shelf)
        record = shelf[min(shelf)]
    value = hostile.value
    old = getattr(record, hostile.field)
    if isinstance(value, list):
        value = tuple(value)
    elif isinstance(value, str) and hostile.field.endswith(("at", "_now")) and value[-1:] == "Z":
        value = datetime.fromisoformat(value)
    elif isinstance(value, str) and isinstance(old, date):
        value = date.fromisoformat(value)
    return replace(record, **{hostile.field: value})

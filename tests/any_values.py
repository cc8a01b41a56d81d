"""Seasons in which some values are others: likely ones, extreme ones and impossible ones.

A season is turned into what its columns hold (:data:`Rows`), some of that is changed, and it is
written to a file whose digests all fit, or to JSON.
"""

import base64
import json
import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np

from ripenroom.paths import resource
from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.check import Check, Lesson, TreeLesson
from ripenroom.records.file.digest import reseal
from ripenroom.records.file.mapping import TABLE_OF
from ripenroom.records.market import ExpectedPick, Pin, SecondGrade
from ripenroom.records.orchard import (
    FROST_ID,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    OwnCrop,
    Row,
    Walk,
    normal_id,
    weather_id,
)
from ripenroom.records.place import TemperatureLog
from ripenroom.records.refusal_words import bare, hints_of, is_optional, limit_of
from ripenroom.records.season import SeasonDetails
from ripenroom.records.temperature_series import pack
from ripenroom.records.validation import plain
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    batch_and_move,
    farm_records,
    market,
    season_record,
)

Values = dict[str, Any]
"""The fields of a record as JSON writes them."""

Members = dict[str, list[Values]]
"""The records of a season by their shelf, and its own under ``season``, as JSON writes them."""

KIND_OF: dict[str, type] = {shelf: kind for kind, shelf in SHELF_OF.items()} | {
    "season": SeasonDetails
}

_CROPS = ("pawpaw", "pear", "avocado", "tomato", "banana", "anjou", "kiwifruit", "quince")


def farm_book() -> Book:
    """A small farm in the middle of its season, with every kind of record."""
    return Book(season_record(practice_now=NOW)).with_changes(_records())


def _records() -> Iterator[Record]:
    yield from farm_records()
    for number, crop in enumerate(_CROPS):
        picked_at = NOW - timedelta(days=2 * number + 1)
        dates_only = crop in ("banana", "quince")
        batch, move = batch_and_move(
            number,
            (COLD, SHELF, ROOM)[number % 3],
            code=f"{crop[0].upper()}-0930-{number}",
            crop=crop,
            picked_at=picked_at,
            count=None if number == 3 else 40,
            weight_kg=9.5 if number == 3 else None,
            feel_counts=None if dates_only else (8, 12, 4, 0, 0),
        )
        yield from (batch, move)
        if not dates_only:
            yield Check(
                id=f"check {number}",
                batch_id=batch.id,
                at=picked_at + timedelta(hours=20),
                feel_counts=(2, 6, 3, 1, 0),
            )
    yield Move(id="pull", batch_id="batch 1", at=NOW + timedelta(days=2), place_id=ROOM)
    yield Treatment(id="treated", batch_id="batch 2", at=NOW - timedelta(days=4), hours=24.0)
    yield Batch(
        id="gauged",
        code="P-0929-9",
        crop="pawpaw",
        picked_at=NOW - timedelta(days=2),
        cultivar_id="early",
        row_id="row",
        count=30,
        readings=(12.0, 14.5),
        reading_unit="N",
        probe_mm=8.0,
        pulp_c=22.0,
        note="the lower rows",
    )
    yield Move(id="gauged", batch_id="gauged", at=NOW - timedelta(days=2), place_id=COLD)
    for days in (-3.0, 1.0, 4.0):
        day, wants = market(days, {"pawpaw": 30, "pear": 12})
        yield replace(day, settled_at=NOW - timedelta(days=2)) if days < 0 else day
        yield from (replace(want, price_minor=250) for want in wants)
    over = "market -3.0"
    at = NOW - timedelta(days=3)
    yield Brought(id="brought", batch_id="batch 4", market_day_id=over, count=9)
    for outcome, count in (("sold", 6), ("discarded", 1)):
        yield Removal(
            id=outcome,
            batch_id="batch 4",
            at=at,
            count=count,
            outcome=outcome,  # type: ignore[arg-type]
            market_day_id=over,
            price_minor=250 if outcome == "sold" else None,
        )
    yield Pin(id="pin", batch_id="batch 0", crates=1, market_day_id="market 1.0")
    yield ExpectedPick(
        id="expected", crop="pawpaw", on=NOW.date() + timedelta(days=2), count=60, place_id=SHELF
    )
    yield SecondGrade(id="pulp", crop="pawpaw", price_minor=40, fruit_per_day=60)
    yield SecondGrade(
        id="pulp by weight",
        crop="pear",
        price_minor=12,
        fruit_per_day=110,
        sold_by="kg",
        amount_per_day=20.0,
        unit_price_minor=65,
    )
    yield Lesson(
        id="lesson",
        crop="pawpaw",
        cultivar=None,
        log_rate=0.1,
        log_rate_sd=0.2,
        checks=6,
        taught_by="2025",
        log_life=0.3,
        log_life_sd=0.15,
    )
    yield OwnCrop(id="own", key="quince", text=resource("crops", "quince.toml").read_text("utf-8"))
    times = np.arange(0, 10 * 86_400, 3600) + int((NOW - timedelta(days=10)).timestamp())
    yield TemperatureLog(
        id="log",
        place_id=COLD,
        name="fridge.csv",
        probe="1",
        starts_at=NOW - timedelta(days=10),
        ends_at=datetime.fromtimestamp(int(times[-1]), NOW.tzinfo),
        series=pack(times, 4.0 + np.sin(times / 9000.0)),
    )
    yield from _orchard_and_weather()


def _orchard_and_weather() -> Iterator[Record]:
    yield Row(
        id="counted row",
        name="By the lane",
        cultivar_id="early",
        trees=12,
        planted_year=2009,
        bloomed_on=NOW.date() - timedelta(days=150),
        branch_counts=(3, 0, 7, 4),
        branches_per_tree=9,
        counted_on=NOW.date() - timedelta(days=20),
        fruit_mass_g=180.0,
    )
    for days in (1, 5, 9):
        yield Walk(
            id=f"walk {days}",
            row_id="counted row",
            at=NOW - timedelta(days=days),
            feel_counts=(20 + days, 9 - days, 1, 0, 0),
            on_ground=4,
        )
    for days in range(-3, 160):
        on = NOW.date() - timedelta(days=days)
        yield DayWeather(
            id=weather_id(on),
            on=on,
            min_c=9.0,
            max_c=None if days < 0 else 21.5,
            source="forecast" if days < 0 else "read",
        )
    for month in (4, 9, 10):
        yield MonthlyNormal(id=normal_id(month), month=month, min_c=5.0, max_c=17.5)
    yield TreeLesson(
        id="tree lesson",
        crop="pawpaw",
        cultivar="Early",
        by_heat=True,
        needs_days=140.0,
        needs_sd=6.0,
        log_spread=1.4,
        log_spread_sd=0.3,
        log_pace=0.1,
        log_pace_sd=0.2,
        walks=12,
        taught_by="2025",
    )
    tenth_on = NOW.date() + timedelta(days=9)
    even_on = tenth_on + timedelta(days=14)
    yield FrostDates(id=FROST_ID, tenth_on=tenth_on, even_on=even_on)


def members_of(book: Book) -> Members:
    """A book as JSON writes it."""
    records = [("season", book.season)]
    for shelf in SHELF_OF.values():
        records += [(shelf, record) for record in getattr(book, shelf).values()]
    members: Members = {shelf: [] for shelf in KIND_OF}
    for shelf, record in records:
        members[shelf].append({name: _as_json(value) for name, value in plain(record).items()})
    return members


def _as_json(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.isoformat().replace("+00:00", "Z")
    if isinstance(value, bytes):
        return base64.b64encode(value).decode("ascii")
    return list(value) if isinstance(value, tuple) else value


# What else may stand in a field

_TEXTS = (
    *("", " ", "\t", "a\nb", "\0", "\u202eabc", "\u2066x", "<b>&amp;<img src=x>", "=1+1", "＝1+1"),
    *("../../etc/passwd", "{0}{value}", "%s%n", "صنف", "🍑‍🌾", "null", "NaN", "x" * 201),
    *("x" * 10_001, "-", ".", "pawpaw", "pear", "medlar", "quince", "9" * 400, "\ud800"),
)
_WHOLE = (0, 1, -1, 2, 3, 17, 100, 999, 2**31, 2**53 + 1, 2**63 - 1, -(2**63))
_FIGURES = (0.0, -0.0, 1e-300, 5e-324, 0.1, 0.5, 1.0, 3.0, 33.0, -1.0, 1e6, 1e18, 1e308, -1e308)
_DAYS = (0, 1, -1, 30, 59, 60, -399, -400, -401, 799, 800, 801, 3650, -36500)
_HOURS = (0.0, 0.01, 1.0, 2.0, 5.0, 12.0, 23.9)
_OF_ANOTHER_TYPE: tuple[Any, ...] = (None, True, "text", 3, 2.5, [], [[]], {})
_LIKELY = 0.6
"""So many of the values are near the ones that were there, or at the edges of what may be."""


def other_value(kind: type, name: str, old: Any, chance: random.Random) -> Any:
    """Something else for a field: within its limits, at their edges, or impossible."""
    hint = hints_of(kind)[name]
    if is_optional(hint) and chance.random() < 0.1:
        return None
    if chance.random() < 0.03:
        return chance.choice(_OF_ANOTHER_TYPE)
    return _of_type(bare(hint), limit_of(hint), old, chance)


def _of_type(kind: Any, limit: Any, old: Any, chance: random.Random) -> Any:
    if kind is bool:
        return not old
    if kind is int:
        edges = [edge + d for edge in (limit.ge, limit.le) for d in (-1, 0, 1)] if limit else []
        near = [(old if isinstance(old, int) else 0) + d for d in (-1, 1, 5)]
        return chance.choice(edges + near) if chance.random() < _LIKELY else chance.choice(_WHOLE)
    if kind is float:
        return _figure(limit, old, chance)
    if kind is datetime:
        return _moment(old, chance)
    if kind is date:
        return _day(old, chance)
    if kind is bytes:
        return _series(chance)
    if kind is str:
        if chance.random() < 0.3:
            return (old if isinstance(old, str) else "") + chance.choice(_TEXTS)
        return chance.choice(_TEXTS)
    inner: tuple[Any, ...] = getattr(kind, "__args__", ())
    if getattr(kind, "__origin__", None) is tuple:
        items = list(old if isinstance(old, list) and old else [1] * 5)
        for _ in range(chance.choice((1, 1, 3))):
            if items:
                at = chance.randrange(len(items))
                items[at] = _of_type(bare(inner[0]), limit_of(inner[0]), items[at], chance)
        if chance.random() < 0.2:
            items = chance.choice((items[:-1], items * 2, items * 400, [], [items]))
        return items
    return chance.choice((*inner, *inner, "silo", ""))  # a Literal


def _figure(limit: Any, old: Any, chance: random.Random) -> float:
    if chance.random() >= _LIKELY or limit is None:
        return chance.choice(_FIGURES)
    low = limit.ge if limit.ge is not None else limit.gt
    high = limit.le if limit.le is not None else limit.lt
    edges = (low, high, low + 1e-9, high - 1e-9, low - 1e-9, high + 1e-9)
    was = old if isinstance(old, int | float) and old else 1.0
    near = (chance.uniform(low, high), was * 1.7, -was)
    return float(chance.choice((*edges, *near, *near)))


def _moment(old: Any, chance: random.Random) -> str:
    at = NOW
    with suppress(ValueError, TypeError):  # it may have been changed before
        at = datetime.fromisoformat(old)
    if chance.random() < 0.05:
        return chance.choice(("0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z", "2026-10-25", ""))
    shift = timedelta(hours=chance.choice(_HOURS))
    if chance.random() < 0.4:
        shift += timedelta(days=chance.choice(_DAYS))
    with suppress(OverflowError):  # beyond the year 1 or 9999
        at += shift * chance.choice((1, -1))
    return at.isoformat().replace("+00:00", "Z")


def _day(old: Any, chance: random.Random) -> str:
    if chance.random() < 0.1:
        return chance.choice(("0001-01-01", "9999-12-31", "2026-02-30", ""))
    on = NOW.date()
    with suppress(ValueError, TypeError):
        on = date.fromisoformat(old)
    with suppress(OverflowError):
        on += timedelta(days=chance.choice(_DAYS))
    return on.isoformat()


def _series(chance: random.Random) -> str:
    start = int(NOW.timestamp()) + 86_400 * chance.choice(_DAYS)
    size, step = chance.choice((1, 2, 30, 3000)), chance.choice((1, 60, 3600, 86_400))
    times = np.arange(size) * step + max(start, 0)
    celsius = np.linspace(chance.choice((-40.0, 3.0)), chance.choice((4.0, 70.0)), size)
    packed = pack(times, celsius)
    torn = chance.choice((packed, packed, packed[:-3], packed[:9], b"", packed + b"x"))
    return base64.b64encode(torn).decode("ascii")


def change_some(members: Members, chance: random.Random) -> Members:
    """The season with a few values changed, records doubled, swapped or taken away."""
    members = {shelf: [dict(values) for values in each] for shelf, each in members.items()}
    for _ in range(chance.choice((1, 1, 1, 2, 4, 12))):
        shelf = chance.choice([shelf for shelf, each in members.items() if each])
        values = chance.choice(members[shelf])
        name = chance.choice([name for name in values if name != "id"])
        way = chance.random()
        if way < 0.8:
            if name.endswith("_id"):
                values[name] = _other_id(members, name, chance)
            else:
                values[name] = other_value(KIND_OF[shelf], name, values[name], chance)
        elif way < 0.9:
            members[shelf].append(values | {"id": f"copy {len(members[shelf])}"})
        elif way < 0.95:
            members[shelf].remove(values)
        else:
            values["id"] = chance.choice(("", "../x", "other", f"{values['id']}x"))
    return members


def _other_id(members: Members, name: str, chance: random.Random) -> Any:
    shelf = {"batch_id": "batches", "place_id": "places", "row_id": "rows"}.get(
        name, "market_days" if name == "market_day_id" else "cultivars"
    )
    ids = [values["id"] for values in members[shelf]]
    return chance.choice([*ids, *ids, "nobody", "", None])


# Where it is written


def write_rows(path: Path, template: Path, members: Members) -> bool:
    """Write a season to a file with its digests, over a copy of ``template``; whether that went.

    SQLite itself refuses what its columns have no type for, and two records of one id.
    """
    path.write_bytes(template.read_bytes())
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute("BEGIN")
        try:
            for shelf, records in members.items():
                table = TABLE_OF[KIND_OF[shelf]].name
                connection.execute(f"DELETE FROM {table}")
                for values in records:
                    columns = ", ".join(f'"{name}"' for name in values)
                    places = ", ".join("?" * len(values))
                    connection.execute(
                        f"INSERT INTO {table} ({columns}, changed_at, digest)"
                        f" VALUES ({places}, 0, zeroblob(16))",
                        [_stored(KIND_OF[shelf], name, each) for name, each in values.items()],
                    )
            reseal(connection)
            connection.execute("COMMIT")
        except (sqlite3.Error, OverflowError, ValueError, TypeError):
            return False
    return True


def _stored(kind: type, name: str, value: Any) -> Any:
    hint = bare(hints_of(kind)[name])
    if hint is datetime and isinstance(value, str):
        epoch = datetime.fromisoformat("1970-01-01T00:00:00Z")
        return (datetime.fromisoformat(value) - epoch) // timedelta(seconds=1)
    if hint is bytes and isinstance(value, str):
        return base64.b64decode(value)
    return json.dumps(value) if isinstance(value, list | dict) else value


def as_json(members: Members) -> str:
    """The season as JSON text."""
    whole: dict[str, Any] = {"format": "ripenroom season", "version": 1, **members}
    whole["season"] = next(iter(members["season"]), None)
    return json.dumps(whole)

"""What differs between two copies of a season, in words."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any

from PySide6.QtCore import QCoreApplication

from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.book import Book, Record
from ripenroom.records.check import Check, Lesson, TreeLesson
from ripenroom.records.identity import references
from ripenroom.records.market import ExpectedPick, MarketDay, Pin, SecondGrade, Want
from ripenroom.records.orchard import Cultivar, Row, Walk
from ripenroom.records.own_crop import OwnCrop
from ripenroom.records.place import Place, SetPointChange, TemperatureLog
from ripenroom.records.season import SeasonDetails
from ripenroom.records.weather import DayWeather, FrostDates, MonthlyNormal
from ripenroom.season.copies import Difference
from ripenroom.window.formats import NEVER, Formats

_LONGEST_VALUE = 120
_SHOWN = 6
"""So many records of a kind are named; of the others it is told how many they are."""


def kind_words(kind: type) -> str:
    """What a kind of record is called where several are told of."""
    return {
        SeasonDetails: QCoreApplication.translate("Copies", "Season"),
        Cultivar: QCoreApplication.translate("Copies", "Cultivars"),
        Row: QCoreApplication.translate("Copies", "Rows of trees"),
        Place: QCoreApplication.translate("Copies", "Places"),
        SetPointChange: QCoreApplication.translate("Copies", "Set points"),
        Batch: QCoreApplication.translate("Copies", "Batches"),
        Move: QCoreApplication.translate("Copies", "Moves"),
        Removal: QCoreApplication.translate("Copies", "Sold and discarded"),
        MarketDay: QCoreApplication.translate("Copies", "Market days"),
        Want: QCoreApplication.translate("Copies", "Wants"),
        Treatment: QCoreApplication.translate("Copies", "Ethylene"),
        OwnCrop: QCoreApplication.translate("Copies", "Own crops"),
        Brought: QCoreApplication.translate("Copies", "Brought to market"),
        Pin: QCoreApplication.translate("Copies", "Pinned"),
        ExpectedPick: QCoreApplication.translate("Copies", "Expected picks"),
        SecondGrade: QCoreApplication.translate("Copies", "Second grade"),
        Check: QCoreApplication.translate("Copies", "Checks"),
        TemperatureLog: QCoreApplication.translate("Copies", "Temperature logs"),
        Lesson: QCoreApplication.translate("Copies", "Lessons"),
        Walk: QCoreApplication.translate("Copies", "Squeeze walks"),
        DayWeather: QCoreApplication.translate("Copies", "Weather"),
        MonthlyNormal: QCoreApplication.translate("Copies", "Usual weather"),
        FrostDates: QCoreApplication.translate("Copies", "First frost"),
        TreeLesson: QCoreApplication.translate("Copies", "Lessons of trees"),
    }[kind]


def detail_words(field: str) -> str:
    """What a detail of the season itself is called among others."""
    return {
        "id": QCoreApplication.translate("Copies", "id"),
        "name": QCoreApplication.translate("Copies", "name"),
        "zone": QCoreApplication.translate("Copies", "time zone"),
        "first_day": QCoreApplication.translate("Copies", "first day"),
        "units": QCoreApplication.translate("Copies", "units"),
        "currency": QCoreApplication.translate("Copies", "currency"),
        "practice_now": QCoreApplication.translate("Copies", "moment of practice"),
        "crate_move_minor": QCoreApplication.translate("Copies", "cost of carrying a crate"),
        "crates_moved_per_evening": QCoreApplication.translate(
            "Copies", "crates moved in an evening"
        ),
    }[field]


def record_words(record: Record, book: Book, words: Formats) -> str:
    """A record as a grower knows it; ``book`` has what it refers to."""
    named: Any = record
    match record:
        case Batch():
            return record.code
        case Move():
            return QCoreApplication.translate("Copies", "{batch} to {place}, {when}").format(
                batch=_code(book, record.batch_id),
                place=_name(book.places, record.place_id),
                when=words.moment(record.at),
            )
        case SetPointChange():
            return QCoreApplication.translate("Copies", "{place} at {set_point}, {when}").format(
                place=_name(book.places, record.place_id),
                set_point=words.temperature(record.set_point_c),
                when=words.moment(record.at),
            )
        case Removal() | Brought():
            return QCoreApplication.translate("Copies", "{count} of {batch}").format(
                count=record.count, batch=_code(book, record.batch_id)
            )
        case Want():
            return QCoreApplication.translate("Copies", "{count} {crop} for {market}").format(
                count=record.count,
                crop=record.crop,
                market=_name(book.market_days, record.market_day_id),
            )
        case MarketDay():
            return f"{record.name}, {words.day(record.starts_at)}"
        case Treatment() | Check():
            return f"{_code(book, record.batch_id)}, {words.moment(record.at)}"
        case Pin():
            return _code(book, record.batch_id)
        case ExpectedPick():
            return f"{record.count} {record.crop}, {words.day(record.on)}"
        case SecondGrade() | Lesson() | TreeLesson():
            return record.crop
        case OwnCrop():
            return record.key
        case TemperatureLog():
            return f"{_name(book.places, record.place_id)}: {record.name}"
        case Walk():
            return f"{_name(book.rows, record.row_id)}, {words.moment(record.at)}"
        case DayWeather():
            return words.full_day(record.on)
        case MonthlyNormal():
            return words.month(record.month)
        case FrostDates():
            return QCoreApplication.translate("Copies", "dates of the first frost")
        case _:
            return str(named.name)


def _code(book: Book, batch_id: str) -> str:
    batch = book.batches.get(batch_id)
    return batch.code if batch else "?"


def _name(shelf: Any, key: str) -> str:
    return shelf[key].name if key in shelf else "?"


@dataclass(frozen=True, slots=True)
class BookChanges:
    """Lines about what would come, go and change; each names a kind and its records."""

    come: tuple[str, ...]
    go: tuple[str, ...]
    change: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it, with a heading for each part."""
        parts = []
        for heading, lines in (
            (QCoreApplication.translate("Copies", "Would come"), self.come),
            (QCoreApplication.translate("Copies", "Would go"), self.go),
            (QCoreApplication.translate("Copies", "Would change"), self.change),
        ):
            if lines:
                parts.append("\n".join((heading, *(f"  • {line}" for line in lines))))
        if not parts:
            return QCoreApplication.translate("Copies", "Nothing would change.")
        return "\n\n".join(parts)


def value_words(record: Record, field: str, book: Book, words: Formats) -> str:
    """What a field of a record holds; names instead of ids."""
    value = getattr(record, field)
    for name, shelf, key in references(record):
        if name == field:
            found = getattr(book, shelf).get(key)
            return _code(book, key) if shelf == "batches" else (found.name if found else "?")
    in_units: dict[str, Callable[[Any], str]] = {
        "price_minor": words.money,
        "pulp_c": words.temperature,
        "set_point_c": words.temperature,
        "min_c": words.temperature,
        "max_c": words.temperature,
        "frost_c": words.temperature,
        "daily_swing_k": words.temperature_difference,
        "weight_kg": words.mass,
    }
    if field in in_units and value is not None:
        return in_units[field](value)
    if isinstance(value, bytes):
        return QCoreApplication.translate("Copies", "{count} bytes").format(
            count=words.number(len(value))
        )
    if isinstance(value, datetime):
        return words.moment(value)
    if isinstance(value, date):
        return words.full_day(value)
    if isinstance(value, tuple):
        return " ".join(map(str, value)) or NEVER
    if isinstance(value, bool):
        yes = QCoreApplication.translate("Copies", "yes")
        return yes if value else QCoreApplication.translate("Copies", "no")
    if isinstance(value, float):
        return words.number(value, 2)
    if value is None or value == "":
        return NEVER
    text = str(value)
    return text if len(text) <= _LONGEST_VALUE else f"{text[:_LONGEST_VALUE]}…"


def field_words(name: str) -> str:
    """What a field of a record is called."""
    return {
        "at": QCoreApplication.translate("Copies", "when"),
        "picked_at": QCoreApplication.translate("Copies", "picked"),
        "starts_at": QCoreApplication.translate("Copies", "begins"),
        "place_id": QCoreApplication.translate("Copies", "place"),
        "batch_id": QCoreApplication.translate("Copies", "batch"),
        "cultivar_id": QCoreApplication.translate("Copies", "cultivar"),
        "row_id": QCoreApplication.translate("Copies", "row"),
        "market_day_id": QCoreApplication.translate("Copies", "market day"),
        "feel_counts": QCoreApplication.translate("Copies", "hand feel"),
        "pulp_c": QCoreApplication.translate("Copies", "pulp"),
        "weight_kg": QCoreApplication.translate("Copies", "weight"),
        "set_point_c": QCoreApplication.translate("Copies", "set point"),
        "price_minor": QCoreApplication.translate("Copies", "price"),
        "half_cooling_h": QCoreApplication.translate("Copies", "half-cooling time (h)"),
        "daily_swing_k": QCoreApplication.translate("Copies", "daily swing"),
        "probe_mm": QCoreApplication.translate("Copies", "probe (mm)"),
        "planted_year": QCoreApplication.translate("Copies", "planted in"),
        "bloomed_on": QCoreApplication.translate("Copies", "full bloom"),
        "fruit_on_trees": QCoreApplication.translate("Copies", "fruit on the trees"),
        "branch_counts": QCoreApplication.translate("Copies", "fruit on branches"),
        "branches_per_tree": QCoreApplication.translate("Copies", "branches on a tree"),
        "counted_on": QCoreApplication.translate("Copies", "counted on"),
        "fruit_doubt": QCoreApplication.translate("Copies", "doubt about the count"),
        "fruit_mass_g": QCoreApplication.translate("Copies", "weight of one fruit (g)"),
        "weather_lag_h": QCoreApplication.translate("Copies", "behind the weather (h)"),
        "on_ground": QCoreApplication.translate("Copies", "on the ground"),
        "on": QCoreApplication.translate("Copies", "day"),
        "min_c": QCoreApplication.translate("Copies", "coldest"),
        "max_c": QCoreApplication.translate("Copies", "warmest"),
        "tenth_on": QCoreApplication.translate("Copies", "frost by then in one year of ten"),
        "even_on": QCoreApplication.translate("Copies", "frost by then in half of all years"),
        "first_frosts": QCoreApplication.translate("Copies", "first frosts"),
        "frost_c": QCoreApplication.translate("Copies", "a frost is"),
    }.get(name, name.replace("_", " "))


def told(found: Sequence[Difference], before: Book, after: Book, words: Formats) -> BookChanges:
    """Differences in words, kind by kind."""
    come = [(d.record, "") for d in found if d.before is None]
    go = [(d.record, "") for d in found if d.after is None]
    change = [
        (d.record, _changed(d.before, d.after, before, after, words))
        for d in found
        if d.before is not None and d.after is not None
    ]
    return BookChanges(
        _lines(come, after, words), _lines(go, before, words), _lines(change, after, words)
    )


def _changed(old: Record, new: Record, before: Book, after: Book, words: Formats) -> str:
    """The fields of a record that change, from what to what."""
    changes = (
        QCoreApplication.translate("Copies", "{field} {old} → {new}").format(
            field=field_words(field.name),
            old=value_words(old, field.name, before, words),
            new=value_words(new, field.name, after, words),
        )
        for field in fields(old)
        if getattr(old, field.name) != getattr(new, field.name)
    )
    return f" ({'; '.join(changes)})"


def _lines(found: Sequence[tuple[Record, str]], book: Book, words: Formats) -> tuple[str, ...]:
    by_kind: dict[type, list[str]] = {}
    for record, how in found:
        by_kind.setdefault(type(record), []).append(record_words(record, book, words) + how)
    lines = []
    for kind, names in by_kind.items():
        names.sort()
        named = ", ".join(names[:_SHOWN])
        if len(names) > _SHOWN:
            named = QCoreApplication.translate("Copies", "{named} and {more} more").format(
                named=named, more=len(names) - _SHOWN
            )
        lines.append(f"{kind_words(kind)} ({len(names)}): {named}")
    return tuple(lines)

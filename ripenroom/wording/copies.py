"""What differs between two copies of a season, in words."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any

from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.book import Book, Record, references
from ripenroom.records.check import Check, Lesson, TreeLesson
from ripenroom.records.market import ExpectedPick, MarketDay, Pin, SecondGrade, Want
from ripenroom.records.orchard import Cultivar, OwnCrop, Row, Walk
from ripenroom.records.place import Place, SetPointChange, TemperatureLog
from ripenroom.records.season import SeasonDetails
from ripenroom.records.weather import DayWeather, FrostDates, MonthlyNormal
from ripenroom.season.copies import Difference
from ripenroom.texts import tr
from ripenroom.wording.formats import NEVER, Formats

_LONGEST_VALUE = 120
_SHOWN = 6
"""So many records of a kind are named; of the others it is told how many they are."""


def kind_words(kind: type) -> str:
    """What a kind of record is called where several are told of."""
    return {
        SeasonDetails: tr("Season"),
        Cultivar: tr("Cultivars"),
        Row: tr("Rows of trees"),
        Place: tr("Places"),
        SetPointChange: tr("Thermostats"),
        Batch: tr("Batches"),
        Move: tr("Moves"),
        Removal: tr("Sold and discarded"),
        MarketDay: tr("Market days"),
        Want: tr("Wants"),
        Treatment: tr("Ethylene"),
        OwnCrop: tr("Own crops"),
        Brought: tr("Brought to market"),
        Pin: tr("Pinned"),
        ExpectedPick: tr("Expected picks"),
        SecondGrade: tr("Second grade"),
        Check: tr("Checks"),
        TemperatureLog: tr("Temperature logs"),
        Lesson: tr("Lessons"),
        Walk: tr("Squeeze walks"),
        DayWeather: tr("Weather"),
        MonthlyNormal: tr("Usual weather"),
        FrostDates: tr("First frost"),
        TreeLesson: tr("Lessons of trees"),
    }[kind]


def detail_words(field: str) -> str:
    """What a detail of the season itself is called among others."""
    return {
        "id": tr("id"),
        "name": tr("name"),
        "zone": tr("time zone"),
        "first_day": tr("first day"),
        "units": tr("units"),
        "currency": tr("currency"),
        "practice_now": tr("time of the practice season"),
        "crate_move_minor": tr("cost of moving a crate"),
        "crates_moved_per_evening": tr("crates moved in one evening at most"),
    }[field]


def record_words(record: Record, book: Book, words: Formats) -> str:
    """A record as a grower knows it; ``book`` has what it refers to."""
    named: Any = record
    match record:
        case Batch():
            return record.code
        case Move():
            return tr("{batch} to {place}, {when}").format(
                batch=_code(book, record.batch_id),
                place=_name(book.places, record.place_id),
                when=words.moment(record.at),
            )
        case SetPointChange():
            return tr("{place} at {set_point}, {when}").format(
                place=_name(book.places, record.place_id),
                set_point=words.temperature(record.set_point_c),
                when=words.moment(record.at),
            )
        case Removal() | Brought():
            return tr("{count} of {batch}").format(
                count=record.count, batch=_code(book, record.batch_id)
            )
        case Want():
            return tr("{count} {crop} for {market}").format(
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
            return tr("dates of the first frost")
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
            (tr("Would be added"), self.come),
            (tr("Would be deleted"), self.go),
            (tr("Would be changed"), self.change),
        ):
            if lines:
                parts.append("\n".join((heading, *(f"  • {line}" for line in lines))))
        if not parts:
            return tr("Nothing would change.")
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
        "unit_price_minor": words.money,
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
        return tr("{count} bytes").format(count=words.number(len(value)))
    if isinstance(value, datetime):
        return words.moment(value)
    if isinstance(value, date):
        return words.full_day(value)
    if isinstance(value, tuple):
        return " ".join(map(str, value)) or NEVER
    if isinstance(value, bool):
        yes = tr("yes")
        return yes if value else tr("no")
    if isinstance(value, float):
        return words.number(value, 2)
    if value is None or value == "":
        return NEVER
    text = str(value)
    return text if len(text) <= _LONGEST_VALUE else f"{text[:_LONGEST_VALUE]}…"


def field_words(name: str) -> str:
    """What a field of a record is called."""
    return {
        "at": tr("when"),
        "picked_at": tr("picked"),
        "starts_at": tr("starts"),
        "place_id": tr("place"),
        "batch_id": tr("batch"),
        "cultivar_id": tr("cultivar"),
        "row_id": tr("row"),
        "market_day_id": tr("market day"),
        "feel_counts": tr("hand feel"),
        "pulp_c": tr("fruit temperature"),
        "weight_kg": tr("weight"),
        "set_point_c": tr("temperature"),
        "price_minor": tr("price"),
        "sold_by": tr("given by"),
        "unit_price_minor": tr("price"),
        "fruit_per_box": tr("fruit in a box"),
        "amount_per_day": tr("at most a day"),
        "fruit_per_day": tr("at most a day"),
        "half_cooling_h": tr("cools halfway in (h)"),
        "daily_swing_k": tr("daily swing"),
        "probe_mm": tr("probe (mm)"),
        "planted_year": tr("planted in"),
        "bloomed_on": tr("full bloom"),
        "fruit_on_trees": tr("fruit on the trees"),
        "branch_counts": tr("fruit on branches"),
        "branches_per_tree": tr("branches on a tree"),
        "counted_on": tr("counted on"),
        "fruit_doubt": tr("doubt about the count"),
        "fruit_mass_g": tr("weight of one fruit (g)"),
        "weather_lag_h": tr("behind the weather (h)"),
        "on_ground": tr("on the ground"),
        "on": tr("day"),
        "min_c": tr("coldest"),
        "max_c": tr("warmest"),
        "tenth_on": tr("frost by then in one year of ten"),
        "even_on": tr("frost by then in half of all years"),
        "first_frosts": tr("first frosts"),
        "frost_c": tr("a frost is"),
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
        tr("{field} {old} → {new}").format(
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
            named = tr("{named} and {more} more").format(named=named, more=len(names) - _SHOWN)
        lines.append(f"{kind_words(kind)} ({len(names)}): {named}")
    return tuple(lines)

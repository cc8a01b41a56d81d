"""What differs between two copies of a season, in words."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.book import Book, Record
from ripenroom.records.check import Check, Lesson, TreeLesson
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import ExpectedPick, MarketDay, Pin, SecondGrade, Want
from ripenroom.records.orchard import (
    Cultivar,
    DayWeather,
    FrostDates,
    MonthlyNormal,
    OwnCrop,
    Row,
    Walk,
)
from ripenroom.records.place import Place, SetPointChange, TemperatureLog
from ripenroom.records.season import SeasonDetails
from ripenroom.season.copies import Difference
from ripenroom.texts import tr
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import crop_name, fruit_name
from ripenroom.wording.record_fields import batch_code, field_words, value_words

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
                batch=batch_code(book, record.batch_id),
                place=_name(book.places, record.place_id),
                when=words.moment(record.at),
            )
        case SetPointChange():
            return tr("{place} at {set_point}, {when}").format(
                place=_name(book.places, record.place_id),
                set_point=words.set_point(record.set_point_c),
                when=words.moment(record.at),
            )
        case Removal() | Brought():
            return tr("{count} of {batch}").format(
                count=record.count, batch=batch_code(book, record.batch_id)
            )
        case Want():
            return tr("{count} {crop} for {market}").format(
                count=record.count,
                crop=fruit_name(shipped_profiles(), record.crop, record.count),
                market=_name(book.market_days, record.market_day_id),
            )
        case MarketDay():
            return f"{record.name}, {words.day(record.starts_at)}"
        case Treatment() | Check():
            return f"{batch_code(book, record.batch_id)}, {words.moment(record.at)}"
        case Pin():
            return batch_code(book, record.batch_id)
        case ExpectedPick():
            fruit = fruit_name(shipped_profiles(), record.crop, record.count)
            return f"{record.count} {fruit}, {words.day(record.on)}"
        case SecondGrade() | Lesson() | TreeLesson():
            return crop_name(shipped_profiles(), record.crop)
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

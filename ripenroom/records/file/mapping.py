"""Which table keeps which kind of record: one entry each, the columns follow from its fields.

In a column texts, numbers and bytes are kept as they are, and a date is ISO text, so that it reads
and sorts as it is. A moment is whole seconds of UTC since 1970. A short tuple (feel counts,
readings) is JSON text: it is always read and written whole, together with its batch, and never
searched.
"""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import UTC, date, datetime, timedelta
from types import MappingProxyType
from typing import Any, Literal, TypeAlias, get_origin

import msgspec

from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.check import Check, Lesson, TreeLesson
from ripenroom.records.file.schema import RECORD_AT
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
from ripenroom.records.refusal import Refusal
from ripenroom.records.refusal_words import bare, hints_of, is_optional, what_is
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import plain, record_from
from ripenroom.texts import tr

Stored: TypeAlias = str | int | float | bytes | None
"""What a column holds."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Codec:
    """What a column's values are turned into and back; None for "as they are".

    ``decode`` raises ``ValueError`` or ``OverflowError`` for what it never wrote.
    """

    column_type: Literal["TEXT", "INTEGER", "REAL", "BLOB"]
    encode: Callable[[Any], Stored] | None = None
    decode: Callable[[Any], object] | None = None


def codec_for(hint: object) -> Codec:
    """The codec of what a field declares; raises ``TypeError`` for what no column can hold."""
    kind = bare(hint)
    if get_origin(kind) is Literal:
        return _BY_TYPE[str]
    if get_origin(kind) is tuple:
        return _TUPLE
    if kind in _BY_TYPE:
        return _BY_TYPE[kind]
    raise TypeError(f"no column can hold {hint!r}")


def _encode_moment(value: datetime) -> int:
    return (value - _EPOCH) // timedelta(seconds=1)


def _decode_moment(seconds: int) -> datetime:
    return _EPOCH + timedelta(seconds=seconds)


def _decode_flag(value: int) -> object:
    return bool(value) if value in (0, 1) else value


def _decode_tuple(text: str) -> object:
    try:
        return msgspec.json.decode(text)
    except RecursionError as error:
        raise ValueError("nested too deep") from error


def _encode_tuple(value: tuple[Any, ...]) -> str:
    return json.dumps(msgspec.to_builtins(value))


_TUPLE = Codec("TEXT", _encode_tuple, _decode_tuple)

_BY_TYPE: dict[object, Codec] = {
    str: Codec("TEXT"),
    bool: Codec("INTEGER", int, _decode_flag),
    bytes: Codec("BLOB"),
    int: Codec("INTEGER"),
    float: Codec("REAL"),
    datetime: Codec("INTEGER", _encode_moment, _decode_moment),
    date: Codec("TEXT"),
}


class RecordTable:
    """One table: a column for each field of its record, in the same order."""

    def __init__(self, name: str, record_type: type[Record]) -> None:
        self.name = name
        self.record_type = record_type
        self.columns = tuple(field.name for field in fields(record_type))
        hints = hints_of(record_type)
        self.codecs = MappingProxyType({name: codec_for(hints[name]) for name in self.columns})
        self.optional = frozenset(name for name in self.columns if is_optional(hints[name]))
        self._encoders = [(name, c.encode) for name, c in self.codecs.items() if c.encode]
        self._decoders: list[tuple[str, Callable[[Any], object]]] = [
            (name, codec.decode) for name, codec in self.codecs.items() if codec.decode
        ]

    def row_of(self, record: Record) -> tuple[Stored, ...]:
        """The record as its own columns keep it; raises :class:`Refusal` for one that cannot be."""
        values = plain(record)
        usual = record_from(self.record_type, values)
        for column, encode in self._encoders:
            if values[column] is not None:
                values[column] = encode(getattr(usual, column))
        return tuple(values[column] for column in self.columns)

    def record_of(self, row: Sequence[Any], columns: Sequence[str] = ()) -> Record:
        """The record kept in a row as ``SELECT *`` gives it.

        ``columns`` are the record's own in a file of an older version; what they lack takes its
        default. Raises :class:`Refusal` for a record that cannot be, whoever wrote it.
        """
        values = dict(zip(columns or self.columns, row[RECORD_AT:], strict=True))
        for column, decode in self._decoders:
            if values.get(column) is not None:
                try:
                    values[column] = decode(values[column])
                except (ValueError, OverflowError) as error:
                    raise Refusal(
                        column, "“{name}” was not written by ripenroom.", name=column
                    ) from error
        return record_from(self.record_type, values)


TABLES: tuple[RecordTable, ...] = (
    RecordTable("season", SeasonDetails),
    RecordTable("cultivar", Cultivar),
    RecordTable("tree_row", Row),
    RecordTable("place", Place),
    RecordTable("set_point_change", SetPointChange),
    RecordTable("batch", Batch),
    RecordTable("move", Move),
    RecordTable("market_day", MarketDay),
    RecordTable("removal", Removal),
    RecordTable("want", Want),
    RecordTable("treatment", Treatment),
    RecordTable("own_crop", OwnCrop),
    RecordTable("brought", Brought),
    RecordTable("pin", Pin),
    RecordTable("expected_pick", ExpectedPick),
    RecordTable("second_grade", SecondGrade),
    RecordTable("squeeze_check", Check),
    RecordTable("temperature_log", TemperatureLog),
    RecordTable("lesson", Lesson),
    RecordTable("walk", Walk),
    RecordTable("day_weather", DayWeather),
    RecordTable("monthly_normal", MonthlyNormal),
    RecordTable("frost_dates", FrostDates),
    RecordTable("tree_lesson", TreeLesson),
)
"""Every kind of record, those that are referred to before those that refer to them."""

TABLE_OF: Mapping[type, RecordTable] = MappingProxyType(
    {table.record_type: table for table in TABLES}
)
TABLE_NAMED: Mapping[str, RecordTable] = MappingProxyType({table.name: table for table in TABLES})


def what_in(table: str) -> str:
    """What a grower calls a row of a table: ``"set point"``, ``"undo step"``."""
    if table in TABLE_NAMED:
        return what_is(TABLE_NAMED[table].record_type)
    return tr("undo step") if table == "undo_step" else table.replace("_", " ")


def book_of(season: SeasonDetails, records: Iterable[Record]) -> Book:
    """The snapshot that a season makes with its other records."""
    shelves: dict[str, dict[str, Any]] = {shelf: {} for shelf in SHELF_OF.values()}
    for record in records:
        shelves[SHELF_OF[type(record)]][record.id] = record
    return Book(season=season, **shelves)

"""Which table keeps which kind of record: one entry each, the columns follow from its fields."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields
from types import MappingProxyType
from typing import Any, get_type_hints

from ripenroom.records.ahead import ExpectedPick, SecondGrade
from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.check import Check
from ripenroom.records.file.codec import Stored, codec_for
from ripenroom.records.file.schema import RECORD_AT
from ripenroom.records.lesson import Lesson
from ripenroom.records.market import MarketDay, Want
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.own_crop import OwnCrop
from ripenroom.records.pin import Pin
from ripenroom.records.place import Place, SetPointChange
from ripenroom.records.season import Season
from ripenroom.records.temperature_log import TemperatureLog


class Table:
    """One table: a column for each field of its record, in the same order."""

    def __init__(self, name: str, record_type: type[Record]) -> None:
        self.name = name
        self.record_type = record_type
        self.columns = tuple(field.name for field in fields(record_type))
        hints = get_type_hints(record_type)
        codecs = {column: codec_for(hints[column]) for column in self.columns}
        self.codecs = MappingProxyType({name: codec for name, (codec, _) in codecs.items()})
        self.optional = frozenset(name for name, (_, optional) in codecs.items() if optional)
        self._decoders: list[tuple[str, Callable[[Any], object]]] = [
            (name, codec.decode) for name, codec in self.codecs.items() if codec.decode
        ]

    def row_of(self, record: Record) -> tuple[Stored, ...]:
        """The record as its own columns keep it.

        Raises :class:`ripenroom.records.refusal.Refusal` for a value that no file can keep.
        """
        row = []
        for column, codec in self.codecs.items():
            value = getattr(record, column)
            row.append(
                None if value is None and column in self.optional else codec.encode(column, value)
            )
        return tuple(row)

    def record_of(self, row: Sequence[Any]) -> Record:
        """The record kept in a row as ``SELECT *`` gives it."""
        values = dict(zip(self.columns, row[RECORD_AT:], strict=True))
        for column, decode in self._decoders:
            if values[column] is not None:
                values[column] = decode(values[column])
        return self.record_type(**values)


TABLES: tuple[Table, ...] = (
    Table("season", Season),
    Table("cultivar", Cultivar),
    Table("tree_row", Row),
    Table("place", Place),
    Table("set_point_change", SetPointChange),
    Table("batch", Batch),
    Table("move", Move),
    Table("market_day", MarketDay),
    Table("removal", Removal),
    Table("want", Want),
    Table("treatment", Treatment),
    Table("own_crop", OwnCrop),
    Table("brought", Brought),
    Table("pin", Pin),
    Table("expected_pick", ExpectedPick),
    Table("second_grade", SecondGrade),
    Table("squeeze_check", Check),
    Table("temperature_log", TemperatureLog),
    Table("lesson", Lesson),
)
"""Every kind of record, those that are referred to before those that refer to them."""

TABLE_OF: Mapping[type, Table] = MappingProxyType({table.record_type: table for table in TABLES})
TABLE_NAMED: Mapping[str, Table] = MappingProxyType({table.name: table for table in TABLES})


def book_of(rows: Mapping[str, Sequence[Sequence[Any]]]) -> Book:
    """The snapshot made of each table's rows.

    Raises ``ValueError`` unless there is exactly one season.
    """
    shelves: dict[str, dict[str, Any]] = {}
    for table in TABLES:
        if table.record_type is not Season:
            records = map(table.record_of, rows[table.name])
            shelves[SHELF_OF[table.record_type]] = {record.id: record for record in records}
    [season] = map(TABLE_OF[Season].record_of, rows["season"])
    assert isinstance(season, Season)
    return Book(season=season, **shelves)

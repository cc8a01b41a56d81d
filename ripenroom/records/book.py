"""All records of a season at one moment: an immutable snapshot, with look-ups by id.

Records refer to each other by ids; :func:`references` says what one refers to, and
:func:`missing_references` what a book refers to and does not have.
"""

import re
import uuid
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from types import MappingProxyType
from typing import Final, TypeAlias

from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.check import Check, Lesson, TreeLesson
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

Record: TypeAlias = (
    SeasonDetails
    | Cultivar
    | Row
    | Place
    | SetPointChange
    | Batch
    | Move
    | Removal
    | MarketDay
    | Want
    | Treatment
    | OwnCrop
    | Brought
    | Pin
    | ExpectedPick
    | SecondGrade
    | Check
    | TemperatureLog
    | Lesson
    | Walk
    | DayWeather
    | MonthlyNormal
    | FrostDates
    | TreeLesson
)


@dataclass(frozen=True, slots=True)
class Book:
    """Every record of one season, keyed by id within its kind. Nothing in it can be changed."""

    season: SeasonDetails
    cultivars: Mapping[str, Cultivar] = field(default_factory=dict)
    rows: Mapping[str, Row] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)
    set_points: Mapping[str, SetPointChange] = field(default_factory=dict)
    batches: Mapping[str, Batch] = field(default_factory=dict)
    moves: Mapping[str, Move] = field(default_factory=dict)
    removals: Mapping[str, Removal] = field(default_factory=dict)
    market_days: Mapping[str, MarketDay] = field(default_factory=dict)
    wants: Mapping[str, Want] = field(default_factory=dict)
    treatments: Mapping[str, Treatment] = field(default_factory=dict)
    own_crops: Mapping[str, OwnCrop] = field(default_factory=dict)
    brought: Mapping[str, Brought] = field(default_factory=dict)
    pins: Mapping[str, Pin] = field(default_factory=dict)
    expected_picks: Mapping[str, ExpectedPick] = field(default_factory=dict)
    second_grades: Mapping[str, SecondGrade] = field(default_factory=dict)
    checks: Mapping[str, Check] = field(default_factory=dict)
    temperature_logs: Mapping[str, TemperatureLog] = field(default_factory=dict)
    lessons: Mapping[str, Lesson] = field(default_factory=dict)
    walks: Mapping[str, Walk] = field(default_factory=dict)
    weather: Mapping[str, DayWeather] = field(default_factory=dict)
    monthly_normals: Mapping[str, MonthlyNormal] = field(default_factory=dict)
    frost_dates: Mapping[str, FrostDates] = field(default_factory=dict)
    tree_lessons: Mapping[str, TreeLesson] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Close the shelves: threads read them while others are made."""
        for name in SHELF_OF.values():
            shelf = getattr(self, name)
            if not isinstance(shelf, MappingProxyType):
                object.__setattr__(self, name, MappingProxyType(shelf))

    def records(self) -> Iterator[Record]:
        """Every record but the season itself, kind by kind."""
        for shelf in SHELF_OF.values():
            yield from getattr(self, shelf).values()

    def holds(self, record: Record) -> bool:
        """Whether there is a record of that kind and id."""
        if isinstance(record, SeasonDetails):
            return record.id == self.season.id
        return record.id in getattr(self, SHELF_OF[type(record)])

    def with_changes(self, put: Iterable[Record] = (), deleted: Iterable[Record] = ()) -> "Book":
        """A new snapshot in which ``put`` records are added or replaced and ``deleted`` are gone.

        Untouched kinds share their mapping with this snapshot: O(size of the touched kinds).
        """
        season = self.season
        touched: dict[str, dict[str, Record]] = {}

        def shelf(record: Record) -> dict[str, Record]:
            name = SHELF_OF[type(record)]
            if name not in touched:
                touched[name] = getattr(self, name).copy()
            return touched[name]

        for record in deleted:
            shelf(record).pop(record.id, None)
        for record in put:
            if isinstance(record, SeasonDetails):
                season = record
            else:
                shelf(record)[record.id] = record
        return replace(self, season=season, **touched)  # type: ignore[arg-type]


SHELF_OF: Mapping[type, str] = MappingProxyType(
    {
        Cultivar: "cultivars",
        Row: "rows",
        Place: "places",
        SetPointChange: "set_points",
        Batch: "batches",
        Move: "moves",
        Removal: "removals",
        MarketDay: "market_days",
        Want: "wants",
        Treatment: "treatments",
        OwnCrop: "own_crops",
        Brought: "brought",
        Pin: "pins",
        ExpectedPick: "expected_picks",
        SecondGrade: "second_grades",
        Check: "checks",
        TemperatureLog: "temperature_logs",
        Lesson: "lessons",
        Walk: "walks",
        DayWeather: "weather",
        MonthlyNormal: "monthly_normals",
        FrostDates: "frost_dates",
        TreeLesson: "tree_lessons",
    }
)
"""Which mapping of a :class:`Book` holds which kind of record."""


@dataclass(frozen=True, slots=True)
class Difference:
    """The records that differ; each is as it is in the one book and as it is in the other.

    ``before`` is None for a record that only the second book has, ``after`` for one that only the
    first has.
    """

    before: Record | None
    after: Record | None

    @property
    def record(self) -> Record:
        """The record as it is afterwards or, if it is gone then, as it was."""
        found = self.before if self.after is None else self.after
        assert found is not None
        return found


def differences(before: Book, after: Book) -> tuple[Difference, ...]:
    """Every record in which two books differ: the season first, then kind by kind."""
    found: list[Difference] = []
    if before.season != after.season:
        found.append(Difference(before.season, after.season))
    for shelf in SHELF_OF.values():
        ours, theirs = getattr(before, shelf), getattr(after, shelf)
        if ours is theirs:
            continue
        for key in ours.keys() | theirs.keys():
            old, new = ours.get(key), theirs.get(key)
            if old != new:
                found.append(Difference(old, new))
    return tuple(found)


def put_and_deleted(
    found: tuple[Difference, ...],
) -> tuple[tuple[Record, ...], tuple[Record, ...]]:
    """What to put in and what to take out to get from the one book to the other."""
    put = tuple(d.after for d in found if d.after is not None)
    return put, tuple(d.before for d in found if d.after is None and d.before is not None)


_UUID = re.compile("[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def new_id() -> str:
    """A new random record id (UUID version 4, RFC 9562), as text."""
    return str(uuid.uuid4())


def is_id(text: object) -> bool:
    """Whether something is a UUID as :func:`new_id` writes it, and so may be part of a path.

    >>> is_id(new_id()), is_id("../elsewhere"), is_id(7)
    (True, False, False)
    """
    return isinstance(text, str) and _UUID.fullmatch(text) is not None


SHELF_OF_FIELD: Final = {
    "batch_id": "batches",
    "place_id": "places",
    "market_day_id": "market_days",
    "cultivar_id": "cultivars",
    "row_id": "rows",
}
"""The fields that refer to a record, and the shelf on which it is."""


def references(record: Record) -> Iterator[tuple[str, str, str]]:
    """Field, shelf and id of everything that a record refers to."""
    for own in fields(record):
        shelf = SHELF_OF_FIELD.get(own.name)
        key = getattr(record, own.name) if shelf else None
        if shelf and key is not None:
            yield own.name, shelf, key


def missing_references(book: Book) -> Iterator[tuple[Record, str, str, str]]:
    """References of a book that lead nowhere: the record, its field, and the shelf and id."""
    for record in book.records():
        for name, shelf, key in references(record):
            if key not in getattr(book, shelf):
                yield record, name, shelf, key

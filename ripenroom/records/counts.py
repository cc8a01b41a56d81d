"""How many records a season may hold: one table, and what is said where there are more.

A season is drawn, planned and learned from as a whole, so that its size has to end somewhere.
Each limit is several times what a large small grower writes down; beyond it something writes
records by itself, or two farms share a file.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from types import MappingProxyType
from typing import Final

from ripenroom.records.batch import Batch, Brought, Move, Removal, Treatment
from ripenroom.records.book import SHELF_OF, Book, Record, references
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
from ripenroom.records.refusal import Refusal
from ripenroom.texts import noted, tr


@dataclass(frozen=True, slots=True)
class Most:
    """So many records of a kind, called ``words``, at most in a ``season``.

    Where ``owner`` names a field, no more than ``each`` may refer to the same record there.
    """

    words: str
    season: int
    owner: str = ""
    each: int = 0


MOST: Final[Mapping[type, Most]] = MappingProxyType(
    {
        Cultivar: Most(noted("cultivars"), 500),
        Row: Most(noted("rows"), 1_000),
        # Each is drawn and has air of its own; a farm has a dozen.
        Place: Most(noted("places"), 100),
        # Changed every other day of a season; what changes by the hour is a thermometer's log.
        SetPointChange: Most(noted("thermostat changes"), 5_000, "place_id", 500),
        # Ten a day over a season of 300 days.
        Batch: Most(noted("batches"), 3_000),
        # To another room and back every other week of a year in store. In projections every batch
        # takes as much time and memory as the one that is moved most.
        Move: Most(noted("moves"), 10_000, "batch_id", 50),
        Removal: Most(noted("removals"), 20_000, "batch_id", 500),
        # Three a day over a season of 300 days.
        MarketDay: Most(noted("market days"), 1_000),
        Want: Most(noted("wanted crops"), 10_000, "market_day_id", 50),
        Treatment: Most(noted("treatments"), 10_000, "batch_id", 20),
        # Four times as many as ship.
        OwnCrop: Most(noted("crops of its own"), 100),
        Brought: Most(noted("lots brought to market"), 20_000, "batch_id", 200),
        Pin: Most(noted("pinned lines of the plan"), 10_000, "batch_id", 100),
        ExpectedPick: Most(noted("expected picks"), 1_000),
        SecondGrade: Most(noted("prices of second grade"), 200),
        # Twice a day for a hundred days.
        Check: Most(noted("checks"), 20_000, "batch_id", 200),
        # Monthly ones of five thermometers in a place.
        TemperatureLog: Most(noted("temperature logs"), 500, "place_id", 100),
        Lesson: Most(noted("lessons"), 500),
        # Twice a day for a hundred days.
        Walk: Most(noted("walks"), 20_000, "row_id", 200),
        # Every day that is within a season's reach, and no day twice.
        DayWeather: Most(noted("days of weather"), 1_300),
        MonthlyNormal: Most(noted("months of usual weather"), 12),
        FrostDates: Most(noted("frost dates"), 1),
        TreeLesson: Most(noted("lessons of trees"), 500),
    }
)
"""The most records of each kind. Beside what plans and pages take at these, DEVELOPERS.md."""


@dataclass(frozen=True, slots=True)
class Crowd:
    """More records of a kind than there may be: ``count``, of one ``owner_id`` where it says."""

    kind: type
    count: int
    owner_id: str = ""

    @property
    def most(self) -> int:
        """How many there may be."""
        limit = MOST[self.kind]
        return limit.each if self.owner_id else limit.season

    @property
    def owner_kind(self) -> type | None:
        """What kind of record has too many; None where it is the season."""
        return _OWNER[MOST[self.kind].owner] if self.owner_id else None

    def problem(self, owner: str) -> str:
        """What is too many and where, in words; ``owner`` is what a grower calls it."""
        text = tr("{crowd}. Rescue keeps the earliest that fit.")
        return text.format(crowd=self._words(owner))

    def refusal(self, owner: str) -> Refusal:
        """The refusal of what would make too many."""
        return Refusal(
            "",
            "{crowd}. Delete what you no longer need, or start another season.",
            crowd=self._words(owner),
        )

    def _words(self, owner: str) -> str:
        limit = MOST[self.kind]
        text = (
            tr(_TOO_MANY_OF[limit.owner])
            if self.owner_id
            else tr("The season has too many {what}: {count:,}; at most {most:,}")
        )
        return text.format(what=tr(limit.words), owner=owner, count=self.count, most=self.most)


_OWNER: Mapping[str, type] = {
    "batch_id": Batch,
    "place_id": Place,
    "market_day_id": MarketDay,
    "row_id": Row,
}
_TOO_MANY_OF = {
    "batch_id": noted("The batch “{owner:.40}” has too many {what}: {count:,}; at most {most:,}"),
    "place_id": noted("The place “{owner:.40}” has too many {what}: {count:,}; at most {most:,}"),
    "market_day_id": noted(
        "The market day “{owner:.40}” has too many {what}: {count:,}; at most {most:,}"
    ),
    "row_id": noted("The row “{owner:.40}” has too many {what}: {count:,}; at most {most:,}"),
}


class RecordTally:
    """How many records there are of each kind, and of each kind for each owner."""

    def __init__(self, records: Iterable[Record] = ()) -> None:
        self._kinds: Counter[type] = Counter()
        self._owned: Counter[tuple[type, str]] = Counter()
        for record in records:
            self.add(record)

    def add(self, record: Record, times: int = 1) -> None:
        """Count a record that is new (``times`` -1: take it out again)."""
        kind = type(record)
        if kind in MOST:
            self._kinds[kind] += times
            if MOST[kind].owner:
                self._owned[kind, getattr(record, MOST[kind].owner)] += times

    def crowds(self) -> Iterator[Crowd]:
        """All of which there are too many."""
        for kind, count in self._kinds.items():
            if count > MOST[kind].season:
                yield Crowd(kind, count)
        for (kind, owner_id), count in self._owned.items():
            if count > MOST[kind].each:
                yield Crowd(kind, count, owner_id)

    def crowd_of(self, record: Record) -> Crowd | None:
        """The crowd that a record belongs to; None if there is room for it."""
        kind = type(record)
        if kind not in MOST:
            return None
        if self._kinds[kind] > MOST[kind].season:
            return Crowd(kind, self._kinds[kind])
        if MOST[kind].owner:
            owner_id = getattr(record, MOST[kind].owner)
            if self._owned[kind, owner_id] > MOST[kind].each:
                return Crowd(kind, self._owned[kind, owner_id], owner_id)
        return None


def crowds_in(book: Book) -> Iterator[tuple[Crowd, str]]:
    """All of which a book has too many, and what the owner of each is called."""
    for crowd in RecordTally(book.records()).crowds():
        yield crowd, owner_name(book, crowd)


def require_room(book: Book) -> None:
    """Raise :class:`Refusal` if a book holds more than a season may."""
    for crowd, owner in crowds_in(book):
        raise crowd.refusal(owner)


def owner_name(book: Book, crowd: Crowd) -> str:
    """What a grower calls the one that has too many."""
    if crowd.owner_kind is None:
        return ""
    owner = getattr(book, SHELF_OF[crowd.owner_kind]).get(crowd.owner_id)
    return str(getattr(owner, "code", "") or getattr(owner, "name", "") or crowd.owner_id)


def without_crowds(book: Book) -> Book:
    """The book with as much as a season may hold: what is earliest, else what is used most."""
    used = Counter((shelf, key) for r in book.records() for _, shelf, key in references(r))

    def in_turn(record: Record) -> tuple[datetime, int, str]:
        return _when(record), -used[SHELF_OF[type(record)], record.id], record.id

    tally = RecordTally()
    gone: list[Record] = []
    for kind, shelf in SHELF_OF.items():
        if len(getattr(book, shelf)) <= (MOST[kind].each or MOST[kind].season):
            continue
        for record in sorted(getattr(book, shelf).values(), key=in_turn):
            tally.add(record)
            if tally.crowd_of(record) is not None:
                tally.add(record, -1)
                gone.append(record)
    return book.with_changes((), gone)


def _when(record: Record) -> datetime:
    for field in ("at", "picked_at", "starts_at", "on"):
        at = getattr(record, field, None)
        if isinstance(at, datetime):
            return at
        if isinstance(at, date):
            return datetime(at.year, at.month, at.day, tzinfo=UTC)
    return datetime.min.replace(tzinfo=UTC)

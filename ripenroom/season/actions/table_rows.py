"""Rows of a table, and the season against which they are read, one after the other."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from typing import Any, Literal, cast

from ripenroom.records.batch import FEELS, Batch, FeelCounts
from ripenroom.records.book import SHELF_OF, Record
from ripenroom.records.check import Check
from ripenroom.records.counts import RecordTally, owner_name
from ripenroom.records.crop.crop_names import fruit_noun, names_of
from ripenroom.records.orchard import Cultivar
from ripenroom.records.refusal import Refusal
from ripenroom.season.batch_codes import Codes
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.texts import noted, tr

RowKind = Literal["picks", "checks", "market days", "places", "rows", "walks", "weather"]

FEEL_KEYS = tuple(feel.replace(" ", "_") for feel in FEELS)


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row: its line number in the table, and what its cells say, in SI units and aware times.

    ``answered`` are fields whose question was answered yes. ``unread`` are columns whose cells
    cannot be read: such a row is never taken, only looked at for what else is wrong with it.
    """

    number: int
    values: Mapping[str, object] = field(default_factory=dict)
    answered: frozenset[str] = frozenset()
    unread: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class ImportDefaults:
    """What a row means where it does not say: the crop's key, and the id of a place."""

    crop: str | None = None
    place_id: str | None = None


class Ground:
    """What a row is read against: the season with all rows that were taken before it.

    Its book has shelves of its own that grow row by row: a new book for every row would copy all
    rows before it.
    """

    def __init__(self, state: SeasonState, usual: ImportDefaults) -> None:
        book = state.book
        self.crops, self.usual = state.crops, usual
        self._shelves: dict[str, dict[str, Record]] = {
            shelf: dict(getattr(book, shelf)) for shelf in SHELF_OF.values()
        }
        self.book = replace(book, **cast(dict[str, Any], self._shelves))
        self.state = state.with_book(self.book)
        self._batch_of_code: dict[str, Batch] = {}
        self._codes = Codes()
        self._zone = zone_of(book.season)
        self._tally = RecordTally(book.records())
        self._checked: set[tuple[str, datetime, FeelCounts | None]] = set()
        for record in book.records():
            self._note(record)

    def require_room(self, records: Iterable[Record]) -> None:
        """Count what is new among a row's records; refuse them if there is no room for all."""
        new = [record for record in records if not self.book.holds(record)]
        for record in new:
            self._tally.add(record)
        for record in new:
            crowd = self._tally.crowd_of(record)
            if crowd is not None:
                for each in new:
                    self._tally.add(each, -1)
                raise crowd.refusal(owner_name(self.book, crowd))

    def add(self, records: Iterable[Record]) -> None:
        """Take in what a row has made."""
        for record in records:
            self._shelves[SHELF_OF[type(record)]][record.id] = record
            self._note(record)

    def _note(self, record: Record) -> None:
        if isinstance(record, Batch):
            self._batch_of_code.setdefault(record.code.casefold(), record)
            self._codes.take(record.code)
        elif isinstance(record, Check):
            self._checked.add((record.batch_id, record.at, record.feel_counts))

    def batch_of_code(self, code: str) -> Batch | None:
        """The batch of that code, large letters or small."""
        return self._batch_of_code.get(code.casefold())

    def next_code(self, crop: str, picked_at: datetime) -> str:
        """The code of the next batch of a crop that was picked then."""
        day = picked_at.astimezone(self._zone).date()
        return self._codes.next(self.crops[crop].letter, day)[0]

    def is_checked(self, batch: Batch, at: datetime, feel: FeelCounts | None) -> bool:
        """Whether this very check is there already."""
        return (batch.id, at, feel) in self._checked

    def crop(self, row: TableRow) -> str:
        """The key of the crop that a row names, by its key, its name or one of its cultivars."""
        named = row.values.get("crop")
        if named is None:
            cultivar = self._cultivar_named_beside(row)
            if cultivar is not None:
                return cultivar.crop
            if self.usual.crop is None:
                raise Refusal("crop", "The row names no crop. Choose one for all such rows.")
            return self.usual.crop
        found = self._crop_called(str(named))
        if found is not None:
            return found
        cultivar = self._cultivar_called(str(named))
        if cultivar is not None:
            return cultivar.crop
        raise Refusal("crop", "There is no crop “{crop}” here.", crop=named)

    def cultivar(self, row: TableRow) -> str | None:
        """The id of the cultivar that a row names, be it where its crop should stand; None where it
        names none."""
        own = self.named(row, "cultivar", "cultivars", noted("cultivar"))
        named = row.values.get("crop")
        if own is not None or named is None or self._crop_called(str(named)) is not None:
            return own
        cultivar = self._cultivar_called(str(named))
        return None if cultivar is None else cultivar.id

    def _cultivar_named_beside(self, row: TableRow) -> Cultivar | None:
        """The cultivar that a row names in its own column, or that its row of trees is of."""
        named = row.values.get("cultivar")
        if named is not None:
            return self._cultivar_called(str(named))
        trees = str(row.values.get("row", "")).casefold()
        found = [own for own in self.book.rows.values() if own.name.casefold() == trees]
        return self.book.cultivars.get(found[0].cultivar_id or "") if len(found) == 1 else None

    def _crop_called(self, name: str) -> str | None:
        return self._crop_of_name.get(name.casefold())

    @cached_property
    def _crop_of_name(self) -> dict[str, str]:
        """The key of the crop that is called so: by its key and names, or else by what several of
        its fruit are called; of crops that are called alike the first."""
        names = {key: (key, *names_of(profile)) for key, profile in self.crops.items()}
        several = {
            key: (*(f"{name}s" for name in names[key]), fruit_noun(profile))
            for key, profile in self.crops.items()
        }
        found: dict[str, str] = {}
        for known in (names, several):
            for key, called in known.items():
                for name in called:
                    found.setdefault(name.casefold(), key)
        return found

    def _cultivar_called(self, name: str) -> Cultivar | None:
        """The only cultivar of the season that is called so."""
        wanted = name.casefold()
        found = [own for own in self.book.cultivars.values() if own.name.casefold() == wanted]
        return found[0] if len(found) == 1 else None

    def named(self, row: TableRow, key: str, shelf: str, what: str) -> str | None:
        """The id of what a row names in a shelf; None where it names nothing."""
        name = row.values.get(key)
        if name is None:
            return None
        wanted = str(name).casefold()
        for record in getattr(self.book, shelf).values():
            if record.name.casefold() == wanted:
                return str(record.id)
        raise Refusal(
            key, "There is no {what} “{name}” here; add it first.", what=tr(what), name=name
        )

    def day(self, row: TableRow, key: str) -> date | None:
        """The day at home that a cell names; None where it names nothing."""
        at = row.values.get(key)
        return at.astimezone(self._zone).date() if isinstance(at, datetime) else None

    def place(self, row: TableRow) -> str:
        """The id of the place that a row names, or of the usual one."""
        found = self.named(row, "place", "places", noted("place")) or self.usual.place_id
        if found is None:
            raise Refusal("place", "The row names no place. Choose one for all such rows.")
        return found

    def batch(self, row: TableRow) -> Batch:
        """The batch whose code a row names."""
        code = str(row.values.get("batch", ""))
        found = self.batch_of_code(code)
        if found is None:
            raise Refusal("batch", "There is no batch “{code}” here.", code=code)
        return found

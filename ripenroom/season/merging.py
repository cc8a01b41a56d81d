"""Two copies of a season that were changed apart, brought together record by record.

With the book as it was before they parted, what only one side has changed is taken over, and a
record in which both changed different fields takes both changes. What both changed differently is
a conflict, and somebody has to choose. What only follows from what was typed is no change: it is
worked out again of the book that both become.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any, Final, Literal, cast

from ripenroom.records.batch import Batch
from ripenroom.records.book import (
    SHELF_OF,
    Book,
    Difference,
    Record,
    differences,
    missing_references,
    references,
)
from ripenroom.records.market import SecondGrade, Want
from ripenroom.records.refusal import Refusal
from ripenroom.records.validation import checked
from ripenroom.season.batch_codes import Codes
from ripenroom.season.moments import local_day
from ripenroom.season.state import zone_of

Side = Literal["mine", "theirs"]


@dataclass(frozen=True, slots=True)
class Conflict:
    """A record that both sides changed, each differently; None where a side has deleted it.

    ``differs_in`` are the fields that both changed, or that do not go together; empty where one
    side deleted the record.
    """

    base: Record | None
    mine: Record | None
    theirs: Record | None
    differs_in: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """The id of the record."""
        return self.record.id

    @property
    def record(self) -> Record:
        """The record, from a side that has it."""
        found = self.mine or self.theirs
        assert found is not None
        return found


@dataclass(frozen=True, slots=True)
class Merge:
    """Two books side by side, and what has to be asked before they can be one.

    ``base`` is the book before they parted; None if nobody knows. Without it a record that only
    one side has counts as new: nothing is deleted.
    """

    base: Book | None
    mine: Book
    theirs: Book
    agreed: Mapping[str, Record | None] = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()

    def together(self, choices: Mapping[str, Side]) -> Book:
        """One book of both, with the side that was chosen for each conflict, by its key.

        Where nothing was chosen mine counts. What a record refers to comes with it, even if the
        other side has deleted it.
        """
        result = dict(self.agreed)
        kept, dropped = set[str](), set[str]()
        for conflict in self.conflicts:
            mine = choices.get(conflict.key, "mine") == "mine"
            chosen, other = (conflict.mine, conflict.theirs)[:: 1 if mine else -1]
            result[conflict.key] = chosen
            if chosen is None:
                dropped.add(conflict.key)
            elif other is None:
                kept.add(conflict.key)
        put = [record for record in result.values() if record is not None]
        gone = {key for key, record in result.items() if record is None}
        # What hangs on a record goes the way that was chosen for it.
        known = {record.id for record in put} | {record.id for record in self.mine.records()}
        put += [
            record
            for record in self.theirs.records()
            if record.id not in known and kept & _referred_to(record)
        ]
        deleted = [
            record
            for record in self.mine.records()
            if record.id in gone and not kept & _referred_to(record)
        ]
        book = self.mine.with_changes(put, deleted)
        book = book.with_changes((), [r for r in book.records() if dropped & _referred_to(r)])
        return _with_own_codes(self.mine, self._whole(book))

    def _whole(self, book: Book) -> Book:
        """The book with whatever its records refer to."""
        known = [b for b in (self.mine, self.theirs, self.base) if b is not None]
        # Each book is whole by itself, so what a record of it refers to is in it.
        while lacking := list(missing_references(book)):
            book = book.with_changes(
                next(getattr(b, shelf)[key] for b in known if key in getattr(b, shelf))
                for _, _, shelf, key in lacking
            )
        return book

    def changes(self, choices: Mapping[str, Side]) -> tuple[Difference, ...]:
        """What coming together changes in mine."""
        return differences(self.mine, self.together(choices))


def meet(base: Book | None, mine: Book, theirs: Book) -> Merge:
    """Compare two copies of one season record by record: O(records)."""
    agreed: dict[str, Record | None] = {}
    conflicts: list[Conflict] = []
    for old, ours, other in _side_by_side(base, mine, theirs):
        if ours == other or other == old:
            continue
        if base is None and (ours is None or other is None):
            if ours is None and other is not None:
                agreed[other.id] = other
            continue
        if ours == old:
            agreed[(ours or cast(Record, other)).id] = other
            continue
        if old is not None and ours is not None and other is not None:
            merged, differs_in = _field_by_field(old, ours, other)
            if not differs_in and _can_be(merged):
                agreed[ours.id] = merged
                continue
            conflicts.append(Conflict(old, ours, other, differs_in or _differing(ours, other)))
        else:
            conflicts.append(Conflict(old, ours, other, _differing(ours, other)))
    return Merge(base, mine, theirs, agreed, tuple(conflicts))


def _side_by_side(
    base: Book | None, mine: Book, theirs: Book
) -> Iterator[tuple[Record | None, Record | None, Record | None]]:
    yield base.season if base else None, mine.season, theirs.season
    for shelf in SHELF_OF.values():
        old = getattr(base, shelf) if base else {}
        ours, other = getattr(mine, shelf), getattr(theirs, shelf)
        for key in sorted(old.keys() | ours.keys() | other.keys()):
            yield old.get(key), ours.get(key), other.get(key)


def _field_by_field(old: Record, ours: Record, other: Record) -> tuple[Record, tuple[str, ...]]:
    """The record with both sides' changes, and the fields that both changed differently."""
    taken: dict[str, Any] = {}
    differs_in: list[str] = []
    for names in _that_go_together(old, ours, other):
        was, mine, theirs = ([_typed(one, name) for name in names] for one in (old, ours, other))
        if theirs in (was, mine):
            continue
        if mine == was:
            taken |= {name: getattr(other, name) for name in names}
        else:
            differs_in += [
                name for name, own, its in zip(names, mine, theirs, strict=True) if own != its
            ]
    return replace(ours, **taken), tuple(differs_in)


_SOLD: Final = (
    *("sold_by", "count", "amount", "fruit_per_day", "amount_per_day"),
    *("price_minor", "unit_price_minor", "fruit_per_box"),
)
"""How much is wanted or taken of a crop, and for how much: fields that mean nothing without their
unit."""

_FOLLOWS: Final = ("count", "fruit_per_day", "price_minor")
"""Of these what follows from the fruit's weight where an amount is given by another unit."""


def _that_go_together(*records: Record) -> Iterator[tuple[str, ...]]:
    """Names of the fields that a side changes at once: each by itself, but that an amount goes with
    its unit where sides have different ones."""
    names = tuple(each.name for each in fields(records[0]))
    units = {one.sold_by for one in records if isinstance(one, Want | SecondGrade)}
    if len(units) < 2:
        yield from ((name,) for name in names)
        return
    yield from ((name,) for name in names if name not in _SOLD)
    yield tuple(name for name in _SOLD if name in names)


def _typed(record: Record, name: str) -> object:
    """What was typed in a field; None of what follows from other fields."""
    sold = isinstance(record, Want | SecondGrade) and record.sold_by != "fruit"
    return None if sold and name in _FOLLOWS else getattr(record, name)


def _can_be(record: Record) -> bool:
    """Whether both sides' changes go together: less fruit here, more feels there do not."""
    try:
        checked(record)
    except Refusal:
        return False
    return True


def _differing(ours: Record | None, other: Record | None) -> tuple[str, ...]:
    if ours is None or other is None:
        return ()
    return tuple(f.name for f in fields(ours) if getattr(ours, f.name) != getattr(other, f.name))


def _referred_to(record: Record) -> set[str]:
    return {key for _, _, key in references(record)}


def _with_own_codes(mine: Book, together: Book) -> Book:
    """The book with a new code for every batch of the other side whose code mine has too."""
    taken = {batch.code for batch in mine.batches.values()}
    codes = Codes(batch.code for batch in together.batches.values())
    zone = zone_of(together.season)
    renamed: list[Batch] = []
    for batch in together.batches.values():
        if batch.id in mine.batches or batch.code not in taken:
            continue
        letter = batch.code.partition("-")[0]
        [code] = codes.next(letter, local_day(batch.picked_at, zone))
        codes.take(code)
        renamed.append(replace(batch, code=code))
    return together.with_changes(renamed)

"""The checks of a book in the order in which they are learned from, and the harvests they are of.

What a record alone tells is read off it once, and kept for the questions that follow.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import zip_longest
from operator import attrgetter, is_
from typing import Any, NamedTuple

import numpy as np

from ripenroom.records.batch import FEELS, Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Flags, Floats
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learning.populations import Population, PopulationOrigin
from ripenroom.season.moments import CLOCK_SLACK, to_hours
from ripenroom.season.whereabouts import harvest_of

_FEW = 200
"""Where more checks than these are others than before, all are read again."""


class _Row(NamedTuple):
    """What is read off one check; the columns of :class:`CheckTable`."""

    order: tuple[bool, float, str]
    check: Check
    at_h: float
    line: int
    tells: bool
    counted: bool
    by_gauge: bool
    picks_over: bool
    feel_counts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Harvests:
    """The harvests that the batches of a book were picked in, and which ``batches`` these are.

    ``line_of`` and ``kind_of`` go by a batch's id. ``root`` (lines,) is the number of each line's
    harvest, ``members`` its batches that have a line, by number: the whole or oldest part first.
    """

    batches: Mapping[str, Batch]
    lines: BatchColumns
    line_of: Mapping[str, int]
    kind_of: Mapping[str, CropKind]
    root: Indices
    roots: tuple[str, ...]
    members: tuple[tuple[Batch, ...], ...]

    @classmethod
    def of(cls, book: Book, lines: BatchColumns) -> "Harvests":
        """Those of all lines of a book, in the order of their ids."""
        root_of = [harvest_of(batch_id, book.batches) for batch_id in lines.ids]
        roots = sorted(set(root_of))
        number = {root: n for n, root in enumerate(roots)}
        members: list[list[Batch]] = [[] for _ in roots]
        for batch_id, root in zip(lines.ids, root_of, strict=True):
            members[number[root]].append(book.batches[batch_id])
        return cls(
            book.batches,
            lines,
            {batch_id: n for n, batch_id in enumerate(lines.ids)},
            {
                batch_id: lines.kinds[kind]
                for batch_id, kind in zip(lines.ids, lines.kind.tolist(), strict=True)
            },
            np.array([number[root] for root in root_of], dtype=np.intp),
            tuple(roots),
            tuple(tuple(sorted(own, key=oldest_first)) for own in members),
        )


def oldest_first(batch: Batch) -> tuple[bool, str, str]:
    """A key that puts the whole or oldest part of a harvest first."""
    return batch.split_from is not None, batch.code, batch.id


@dataclass(frozen=True, slots=True)
class CheckTable:
    """Checks with what is read off each, (checks,): those that count first, in either part by time;
    so the order in which a file gives its records changes no digit.

    ``line`` is that of the check's batch (-1: none); ``tells`` whether it says anything of it once
    it is not ahead. ``by_gauge`` it was probed, ``picks_over`` it was no sample; ``feel_counts``
    has shape (checks, feels).
    """

    order: Sequence[tuple[bool, float, str]]
    checks: Sequence[Check]
    at_h: Floats
    line: Indices
    tells: Flags
    counted: Flags
    by_gauge: Flags
    picks_over: Flags
    feel_counts: Floats

    @property
    def records(self) -> Indices:
        """Which record each is: what was worked out of the same holds for it."""
        return np.fromiter(map(id, self.checks), dtype=np.intp, count=len(self.checks))

    @classmethod
    def of(cls, rows: Sequence[_Row]) -> "CheckTable":
        """The table of rows in order."""
        columns: dict[str, Any] = {
            name: np.array([getattr(row, name) for row in rows], dtype=dtype)
            for name, dtype in _COLUMNS.items()
        }
        columns["feel_counts"] = columns["feel_counts"].reshape(-1, len(FEELS))
        return cls([row.order for row in rows], [row.check for row in rows], **columns)

    def without(self, checks: Sequence[Check]) -> "CheckTable":
        """This table without some of its checks."""
        there = np.ones(len(self.checks), dtype=bool)
        there[[bisect_left(self.order, _order(check)) for check in checks]] = False
        return self.only(there)

    def and_(self, rows: Sequence[_Row]) -> "CheckTable":
        """This table with some rows more, in order."""
        more = CheckTable.of(rows)
        if not self.checks or not rows:
            return more if rows else self
        place = [bisect_left(self.order, order) for order in more.order]
        order, checks = list(self.order), list(self.checks)
        for late, (at, row) in enumerate(zip(place, rows, strict=True)):
            order.insert(at + late, row.order)
            checks.insert(at + late, row.check)
        columns: dict[str, Any] = {
            name: np.insert(getattr(self, name), place, getattr(more, name), axis=0)
            for name in _COLUMNS
        }
        return CheckTable(order, checks, **columns)

    def only(self, some: Flags) -> "CheckTable":
        """Some of them."""
        if some.all():
            return self
        lines = np.flatnonzero(some).tolist()
        columns: dict[str, Any] = {name: getattr(self, name)[some] for name in _COLUMNS}
        checks = [self.checks[n] for n in lines]
        return CheckTable([self.order[n] for n in lines], checks, **columns)


def in_both(records: Indices, before: Indices) -> tuple[Indices, Indices]:
    """Where records are that were there before, and where they were; of no order."""
    if not before.size:
        return before, before
    order = np.argsort(before)
    there = order[np.minimum(np.searchsorted(before, records, sorter=order), before.size - 1)]
    here = np.flatnonzero(before[there] == records)
    return here, there[here]


_COLUMNS = {
    "at_h": float,
    "line": np.intp,
    "tells": bool,
    "counted": bool,
    "by_gauge": bool,
    "picks_over": bool,
    "feel_counts": float,
}
"""The tables of a :class:`CheckTable`, and what their numbers are."""


@dataclass(frozen=True, slots=True)
class CheckRows:
    """The checks of a book that can be ``looked_at``, ``counted`` of them first, the ids of the
    others, and all that it was ``read_from``."""

    harvests: Harvests
    constants: ConstantsOfCrops
    read_from: Mapping[str, Check]
    every: CheckTable
    looked_at: CheckTable
    counted: int
    unlearnable: tuple[str, ...]
    checked: "CheckedHarvests"

    @property
    def harvest(self) -> Indices:
        """The number of each check's harvest among those that were ``checked``, (checks,)."""
        place = np.zeros(len(self.harvests.roots), dtype=np.intp)
        place[self.checked.roots] = np.arange(self.checked.roots.size)
        return place[self.harvests.root[self.looked_at.line]]


@dataclass(frozen=True, slots=True)
class CheckedHarvests:
    """The harvests that were checked: their ``roots`` (numbers of all harvests), each one's number,
    its batches, and the first of these; where nothing was picked over."""

    roots: Indices
    number: Mapping[Population, int]
    members: tuple[tuple[Batch, ...], ...]
    first: tuple[Batch, ...]

    @classmethod
    def of(
        cls, harvests: Harvests, lines: Indices, before: "CheckedHarvests | None"
    ) -> "CheckedHarvests":
        """Those of checks of these ``lines``; ``before``, of the same harvests, if it is these."""
        checked = np.bincount(harvests.root[lines], minlength=len(harvests.roots)) > 0
        roots = np.flatnonzero(checked)
        if before is not None and np.array_equal(roots, before.roots):
            return before
        members = tuple(harvests.members[root] for root in roots.tolist())
        names = (
            Population(harvests.roots[root], PopulationOrigin.PICKED) for root in roots.tolist()
        )
        number = {population: n for n, population in enumerate(names)}
        return cls(roots, number, members, tuple(own[0] for own in members))


def check_rows(
    book: Book,
    now: datetime,
    lines: BatchColumns,
    constants: ConstantsOfCrops,
    before: CheckRows | None = None,
) -> CheckRows:
    """The checks of a book as on ``now``; where the lines are the same as ``before``, only those
    that were not there are read."""
    if before is not None and not (
        before.harvests.lines is lines
        and before.harvests.batches is book.batches
        and before.constants is constants
    ):
        before = None
    harvests = Harvests.of(book, lines) if before is None else before.harvests
    every, new = CheckTable.of(()), list(book.checks.values())
    if before is not None:
        gone, came = _differ(before.read_from, book.checks)
        if len(gone) + len(came) <= _FEW:
            every, new = before.every.without(gone), came
    every = every.and_(_read(new, book, harvests, constants))
    usable = every.tells & (every.at_h <= to_hours(now + CLOCK_SLACK))
    looked_at = every.only(usable)
    others = {every.checks[n].id for n in np.flatnonzero(~usable).tolist()}
    return CheckRows(
        harvests=harvests,
        constants=constants,
        read_from=book.checks,
        every=every,
        looked_at=looked_at,
        counted=int(looked_at.counted.sum()),
        unlearnable=tuple(one for one in book.checks if one in others) if others else (),
        checked=CheckedHarvests.of(
            harvests, looked_at.line, None if before is None else before.checked
        ),
    )


def _differ(
    before: Mapping[str, Check], now: Mapping[str, Check]
) -> tuple[list[Check], list[Check]]:
    """The checks that are gone and that came, place by place."""
    same = list(map(is_, before.values(), now.values()))
    gone, came = (
        [check for check, stays in zip_longest(of.values(), same) if not stays and check]
        if not all(same) or len(of) > len(same)
        else []
        for of in (before, now)
    )
    return gone, came


def _order(check: Check) -> tuple[bool, float, str]:
    """Those that count first, in either part by time."""
    return not check.counted, to_hours(check.at), check.id


def _read(
    checks: Sequence[Check], book: Book, harvests: Harvests, constants: ConstantsOfCrops
) -> list[_Row]:
    lines, none = harvests.lines, (0,) * len(FEELS)
    crops = [constants[kind] for kind in lines.kinds]
    rows = []
    for check in checks:
        line, tells, by_gauge = harvests.line_of.get(check.batch_id, -1), False, False
        if line >= 0:
            crop = crops[lines.kind[line]]
            by_gauge = crop.probed and bool(check.readings)
            told = by_gauge or (crop.felt and any(check.feel_counts or ()))
            tells = told and book.batches[check.batch_id].picked_at <= check.at
        rows.append(
            _Row(
                _order(check),
                check,
                to_hours(check.at),
                line,
                tells,
                check.counted,
                by_gauge,
                check.picks_over,
                check.feel_counts or none,
            )
        )
    return sorted(rows, key=attrgetter("order"))

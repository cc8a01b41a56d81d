"""The checks of a book in the order in which they are learned from, and the harvests they are of.

What a record alone tells is read off it once, and kept for the questions that follow.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from operator import attrgetter
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.learning.populations import Population, Way
from ripenroom.season.moments import CLOCK_SLACK, to_hours
from ripenroom.season.whereabouts import harvest_of


class CheckRow(NamedTuple):
    """One check: where it stands (``order``), when it was (h), the line of its batch (-1: none),
    and whether it tells anything once it is not ahead."""

    order: tuple[bool, float, str]
    check: Check
    at_h: float
    line: int
    tells: bool


@dataclass(frozen=True, slots=True)
class Harvests:
    """The harvests that the batches of a book were picked in, and which ``batches`` these are.

    ``root`` (lines,) is the number of each line's harvest, ``members`` its batches that have a
    line, by number: the whole or oldest part first.
    """

    batches: Mapping[str, Batch]
    lines: BatchColumns
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
            np.array([number[root] for root in root_of], dtype=np.intp),
            tuple(roots),
            tuple(tuple(sorted(own, key=oldest_first)) for own in members),
        )


def oldest_first(batch: Batch) -> tuple[bool, str, str]:
    """A key that puts the whole or oldest part of a harvest first."""
    return batch.split_from is not None, batch.code, batch.id


@dataclass(frozen=True, slots=True)
class CheckRows:
    """Checks that can be looked at, those that count first, in either part by time; so the order in
    which a file gives its records changes no digit.

    ``at_h`` and ``line`` are (checks,). ``every`` has also those that cannot, by id and in order;
    the ids of these are ``unlearnable``.
    """

    harvests: Harvests
    constants: ConstantsOfCrops
    every: Mapping[str, CheckRow]
    checks: tuple[Check, ...]
    counted: int
    at_h: Floats
    line: Indices
    unlearnable: tuple[str, ...]

    def by_harvest(
        self,
    ) -> tuple[dict[Population, int], Indices, tuple[tuple[Batch, ...], ...], list[Batch]]:
        """The number of each harvest that was checked, the harvest of each check, and the batches
        of each and the first of these; where nothing was picked over."""
        harvests = self.harvests
        checked, of_check = np.unique(harvests.root[self.line], return_inverse=True)
        members = tuple(harvests.members[n] for n in checked.tolist())
        roots = [Population(harvests.roots[n], Way.PICKED) for n in checked.tolist()]
        number = {own: n for n, own in enumerate(roots)}
        return number, of_check.astype(np.intp), members, [own[0] for own in members]


def check_rows(
    book: Book,
    now: datetime,
    lines: BatchColumns,
    constants: ConstantsOfCrops,
    before: CheckRows | None = None,
) -> CheckRows:
    """The checks of a book as on ``now``; those that ``before`` has of the same lines are kept."""
    same = before is not None and (
        before.harvests.lines is lines
        and before.harvests.batches is book.batches
        and before.constants is constants
    )
    harvests = before.harvests if before is not None and same else Harvests.of(book, lines)
    known = before.every if before is not None and same else {}
    rows = [row for row in known.values() if book.checks.get(row.check.id) is row.check]
    if len(rows) < len(book.checks):
        kept = {row.check.id for row in rows}
        new = [check for check_id, check in book.checks.items() if check_id not in kept]
        rows = sorted([*rows, *_read(new, book, lines, constants)], key=attrgetter("order"))
    latest_h = to_hours(now + CLOCK_SLACK)
    usable = [row for row in rows if row.tells and row.at_h <= latest_h]
    others: set[str] = set()
    if len(usable) < len(rows):
        others = book.checks.keys() - {row.check.id for row in usable}
    return CheckRows(
        harvests=harvests,
        constants=constants,
        every={row.check.id: row for row in rows},
        checks=tuple(row.check for row in usable),
        counted=sum(row.check.counted for row in usable),
        at_h=np.array([row.at_h for row in usable], dtype=float),
        line=np.array([row.line for row in usable], dtype=np.intp),
        unlearnable=tuple(check_id for check_id in book.checks if check_id in others),
    )


def _read(
    checks: Sequence[Check], book: Book, lines: BatchColumns, constants: ConstantsOfCrops
) -> list[CheckRow]:
    line_of = {batch_id: n for n, batch_id in enumerate(lines.ids)}
    crops = [constants[kind] for kind in lines.kinds]
    found = []
    for check in checks:
        line, tells = line_of.get(check.batch_id, -1), False
        if line >= 0:
            crop = crops[lines.kind[line]]
            told = (crop.probed and check.readings) or (crop.felt and any(check.feel_counts or ()))
            tells = bool(told) and book.batches[check.batch_id].picked_at <= check.at
        at_h = to_hours(check.at)
        found.append(CheckRow((not check.counted, at_h, check.id), check, at_h, line, tells))
    return found

"""Rows of trees as the science takes them, and what is known of each: fruit that hung, were picked.

Of rows whose fruit was counted and whose crop is known something can be foretold
(:func:`orchard_rows`): when they bloomed, which clock they go by, which are learned of together.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean, stdev

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.orchard import Row, Walk
from ripenroom.science.orchard.tree_clock import TreeClock
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.fruit_balance import FruitTally, balance
from ripenroom.season.orchard.heat import Springs, TreeClocks, blooms
from ripenroom.season.orchard.orchard_types import Z_80, Bloom, CountedFruit, RowFacts, Spring
from ripenroom.season.state import SeasonState


def counted_fruit(row: Row) -> CountedFruit | None:
    """How many fruit were on the trees of a row when they were counted; None if nobody did.

    Of counts on branches it is mean x branches x trees. Its doubt is the one that was typed,
    and no less than what the counts differ among themselves leaves of their mean.
    """
    log_sd = math.log1p(row.fruit_doubt) / Z_80
    if row.fruit_on_trees is not None:
        return CountedFruit(float(row.fruit_on_trees), log_sd)
    if not row.branch_counts or not row.trees or row.branches_per_tree is None:
        return None
    mean = fmean(row.branch_counts)
    if len(row.branch_counts) > 1 and mean > 0.0:
        of_mean = stdev(row.branch_counts) / math.sqrt(len(row.branch_counts)) / mean
        log_sd = max(log_sd, of_mean)
    return CountedFruit(mean * row.branches_per_tree * row.trees, log_sd)


def row_facts(book: Book, crops: Mapping[str, CropProfile]) -> tuple[RowFacts, ...]:
    """All rows by name."""
    picked: dict[str, FruitTally] = {}
    for line in balance(book, crops).rows:
        if line.key is not None:
            picked[line.key] = picked.get(line.key, FruitTally()).plus(line.tally)
    walks: dict[str, list[Walk]] = {}
    for walk in sorted(book.walks.values(), key=lambda w: (w.at, w.id)):
        walks.setdefault(walk.row_id, []).append(walk)
    return tuple(
        _facts(book, row, picked.get(row.id, FruitTally()), tuple(walks.get(row.id, ())))
        for row in sorted(book.rows.values(), key=lambda row: (row.name.casefold(), row.id))
    )


def _facts(book: Book, row: Row, tally: FruitTally, walks: tuple[Walk, ...]) -> RowFacts:
    cultivar = book.cultivars.get(row.cultivar_id or "")
    return RowFacts(
        row=row,
        crop=cultivar.crop if cultivar else None,
        counted=counted_fruit(row),
        tally=tally,
        on_ground=sum(walk.on_ground or 0 for walk in walks),
        walks=walks,
    )


AHEAD_DAYS = 120
"""Days that rows are followed ahead: past any frost."""


@dataclass(frozen=True, slots=True)
class RowGroup:
    """Rows that are learned of together: a cultivar's that go by heat, or by the calendar."""

    cultivar_id: str
    by_heat: bool


@dataclass(frozen=True, slots=True)
class RowInput:
    """One row as it is learned: its group, when it bloomed, and what is published of its spring."""

    facts: RowFacts
    group: int
    bloom: Bloom
    picks: tuple[Batch, ...]
    spring: Spring | None


@dataclass(frozen=True, slots=True)
class OrchardRows:
    """All rows that anything can be said of, in their order; ``crops`` (rows) are the figures that
    each row's fruit go by."""

    rows: tuple[RowInput, ...]
    groups: tuple[RowGroup, ...]
    crops: tuple[CropConstants, ...]
    clocks: TreeClocks

    def clock(self, row: RowInput) -> TreeClock:
        """The clock that a row goes by."""
        return self.clocks.by_heat if self.groups[row.group].by_heat else self.clocks.calendar

    def tree_days(self, today: date, days: int) -> Floats:
        """Tree days at noon of each day from today on, (rows, days)."""
        ahead = today.toordinal() + np.arange(float(days))
        return np.stack([self.clock(row).at(ahead) for row in self.rows])

    def alike(self, other: "OrchardRows") -> bool:
        """Whether the same rows stand in the same groups."""
        return self.groups == other.groups and self._places() == other._places()

    def _places(self) -> list[tuple[str, int]]:
        return [(row.facts.row.id, row.group) for row in self.rows]


def orchard_rows(state: SeasonState) -> OrchardRows | None:
    """The rows whose fruit was counted and whose crop is known; None if there are none."""
    facts = [f for f in row_facts(state.book, state.crops) if f.counted and f.crop in state.crops]
    if not facts:
        return None
    picks = _picks(state)
    bloomed = blooms(state, facts, picks)
    first = min(min(bloom.on for bloom in bloomed), state.today)
    clocks = TreeClocks(state.book, first, state.today + timedelta(days=AHEAD_DAYS))
    rows, groups, springs = [], list[RowGroup](), Springs(state.book, state.today)
    for f, bloom in zip(facts, bloomed, strict=True):
        group = RowGroup(f.row.cultivar_id or "", clocks.knows(bloom.on, state.today))
        if group not in groups:
            groups.append(group)
        cultivar = state.book.cultivars[group.cultivar_id]
        spring = springs.of(cultivar, bloom)
        rows.append(RowInput(f, groups.index(group), bloom, picks.get(f.row.id, ()), spring))
    constants = ConstantsOfCrops(state.crops)
    crops = tuple(
        constants[constants.kind_of(row.facts.crop or "", row.facts.row.cultivar_id, state.book)]
        for row in rows
    )
    return OrchardRows(tuple(rows), tuple(groups), crops, clocks)


def _picks(state: SeasonState) -> dict[str, tuple[Batch, ...]]:
    """What was picked of each row, without what only came of sorting it again."""
    found: dict[str, list[Batch]] = {}
    for batch in state.book.batches.values():
        if batch.row_id and batch.split_from is None and batch.picked_over is None:
            found.setdefault(batch.row_id, []).append(batch)
    return {key: tuple(some) for key, some in found.items()}

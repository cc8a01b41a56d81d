"""The rows of which anything can be said: when they bloomed, what was picked, which clock they go
by, and which of them are learned of together."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.science.orchard.tree_clock import TreeClock
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.orchard.bloom import blooms
from ripenroom.season.orchard.found import Bloom, RowFacts, Spring
from ripenroom.season.orchard.heat import TreeClocks
from ripenroom.season.orchard.row_facts import row_facts
from ripenroom.season.orchard.spring import Springs
from ripenroom.season.state import SeasonState

AHEAD_DAYS = 120
"""Days that rows are followed ahead: past any frost."""


@dataclass(frozen=True, slots=True)
class Group:
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
    groups: tuple[Group, ...]
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
    rows, groups, springs = [], list[Group](), Springs(state.book, state.today)
    for f, bloom in zip(facts, bloomed, strict=True):
        group = Group(f.row.cultivar_id or "", clocks.knows(bloom.on, state.today))
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

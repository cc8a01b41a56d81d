"""What walks, counts and picks leave believed of the rows."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

import numpy as np

from ripenroom.records.batch import FEELS, Batch
from ripenroom.records.check import TreeLesson
from ripenroom.science.orchard.row_fit import CultivarBelief, Rows, RowsBelief, learn
from ripenroom.science.orchard.seasons import believed_before
from ripenroom.science.orchard.sightings import Sightings
from ripenroom.science.orchard.tree_clock import TreeClock, TreeMarks
from ripenroom.science.softening import Floats
from ripenroom.season.amounts import fruit_picked
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.moments import at_local, local_day
from ripenroom.season.orchard.found import RowFacts
from ripenroom.season.orchard.heat import TreeClocks
from ripenroom.season.orchard.row_facts import row_facts
from ripenroom.season.orchard.usual import (
    BLOOM_SD_DAYS,
    DROP_PART,
    DROP_SD_PART,
    PACE_LOG_SD,
    PICKING_C,
    SPREAD_DAYS,
    SPREAD_LOG_SD,
    UNKNOWN_BLOOM_SD_DAYS,
    needs_of,
)
from ripenroom.season.state import SeasonState

AHEAD_DAYS = 120
"""Days that rows are followed ahead: past any frost."""

_ANY_FRUIT_LOG_SD = 1.0
"""The number that a row sets is told by its count, not by what was believed before."""

_NOON = time(12)


@dataclass(frozen=True, slots=True)
class Group:
    """Rows that are learned of together: a cultivar's that go by heat, or by the calendar."""

    cultivar_id: str
    by_heat: bool


@dataclass(frozen=True, slots=True)
class RowInput:
    """One row as it is learned: its group, when it bloomed and how sure that is (days)."""

    facts: RowFacts
    group: int
    bloomed: date
    bloomed_sd: float
    picks: tuple[Batch, ...]


@dataclass(frozen=True, slots=True)
class OrchardBelief:
    """What is believed of all rows that anything can be said of, in their order.

    ``before`` is what was believed of each group's cultivar before this season; ``crops`` (rows)
    are the figures that each row's fruit go by.
    """

    rows: tuple[RowInput, ...]
    groups: tuple[Group, ...]
    crops: tuple[CropConstants, ...]
    clocks: TreeClocks
    before: CultivarBelief
    belief: RowsBelief

    def clock(self, row: RowInput) -> TreeClock:
        """The clock that a row goes by."""
        return self.clocks.by_heat if self.groups[row.group].by_heat else self.clocks.calendar

    def tree_days(self, today: date, days: int) -> Floats:
        """Tree days at noon of each day from today on, (rows, days)."""
        ahead = today.toordinal() + np.arange(float(days))
        return np.stack([self.clock(row).at(ahead) for row in self.rows])


_last: tuple[tuple[object, ...], OrchardBelief] | None = None


def orchard_belief(state: SeasonState) -> OrchardBelief | None:
    """What is believed of the rows now; None where nothing can be said of any.

    Asked again of the same records on the same day it is the same answer, at no cost; and where
    only what was seen is another, the search begins at the last one.
    """
    global _last
    book = state.book
    asked = (
        book.rows, book.cultivars, book.walks, book.batches, book.weather, book.monthly_normals,
        book.tree_lessons, book.season, state.crops, state.today,
    )  # fmt: skip
    last = _last
    if last is not None and all(a is b or a == b for a, b in zip(last[0], asked, strict=True)):
        return last[1]
    found = _belief(state, None if last is None else last[1])
    if found is not None:
        _last = asked, found
    return found


def _belief(state: SeasonState, last: OrchardBelief | None) -> OrchardBelief | None:
    facts = [f for f in row_facts(state.book, state.crops) if f.counted and f.crop in state.crops]
    if not facts:
        return None
    picks = _picks(state)
    blooms = [_bloom(state, f, picks.get(f.row.id, ())) for f in facts]
    first = min(min(day for day, _ in blooms), state.today)
    clocks = TreeClocks(state.book, first, state.today + timedelta(days=AHEAD_DAYS))
    rows, groups = [], list[Group]()
    for f, (bloomed, sd) in zip(facts, blooms, strict=True):
        group = Group(f.row.cultivar_id or "", clocks.knows(bloomed, state.today))
        if group not in groups:
            groups.append(group)
        rows.append(RowInput(f, groups.index(group), bloomed, sd, picks.get(f.row.id, ())))
    constants = ConstantsOfCrops(state.crops)
    crops = tuple(
        constants[constants.kind_of(row.facts.crop or "", row.facts.row.cultivar_id, state.book)]
        for row in rows
    )
    before = _before(state, groups)
    unlearned = OrchardBelief(tuple(rows), tuple(groups), crops, clocks, before, _NOTHING)
    columns = _rows(unlearned)
    known = last.belief if last is not None and _same_rows(last, unlearned) else None
    belief = learn(columns, _marks(crops), before, _sightings(state, unlearned), known)
    return replace(unlearned, belief=belief)


_NOTHING: RowsBelief = None  # type: ignore[assignment]


def _same_rows(one: OrchardBelief, other: OrchardBelief) -> bool:
    return one.groups == other.groups and [(row.facts.row.id, row.group) for row in one.rows] == [
        (row.facts.row.id, row.group) for row in other.rows
    ]


def _picks(state: SeasonState) -> dict[str, tuple[Batch, ...]]:
    """What was picked of each row, without what only came of sorting it again."""
    found: dict[str, list[Batch]] = {}
    for batch in state.book.batches.values():
        if batch.row_id and batch.split_from is None and batch.picked_over is None:
            found.setdefault(batch.row_id, []).append(batch)
    return {key: tuple(some) for key, some in found.items()}


def _bloom(state: SeasonState, facts: RowFacts, picks: tuple[Batch, ...]) -> tuple[date, float]:
    """When a row bloomed and how sure that is; from when it was first looked at, if nobody noted
    it, and else from when its crop blooms north of the equator."""
    if facts.row.bloomed_on is not None:
        return facts.row.bloomed_on, BLOOM_SD_DAYS
    looked = [walk.at for walk in facts.walks] + [batch.picked_at for batch in picks]
    if not looked:
        return date(state.today.year, 5, 1), UNKNOWN_BLOOM_SD_DAYS
    needs = timedelta(days=round(needs_of(facts.crop or "").days))
    return local_day(min(looked), state.zone) - needs, UNKNOWN_BLOOM_SD_DAYS


def _before(state: SeasonState, groups: list[Group]) -> CultivarBelief:
    """Of each group what the book and earlier seasons leave believed."""
    mean, sd = np.zeros((len(groups), 3)), np.zeros((len(groups), 3))
    of, lessons = list[int](), list[TreeLesson]()
    for place, group in enumerate(groups):
        cultivar = state.book.cultivars[group.cultivar_id]
        needs = needs_of(cultivar.crop)
        days = (needs.heat_days, needs.heat_sd) if group.by_heat else (needs.days, needs.days_sd)
        mean[place] = days[0], np.log(SPREAD_DAYS), 0.0
        sd[place] = days[1], SPREAD_LOG_SD, PACE_LOG_SD
        for lesson in state.book.tree_lessons.values():
            named = lesson.cultivar is not None
            same = named and lesson.cultivar.casefold() == cultivar.name.casefold()  # type: ignore[union-attr]
            if same and lesson.crop == cultivar.crop and lesson.by_heat == group.by_heat:
                of.append(place)
                lessons.append(lesson)
    taught = np.array([(x.needs_days, x.log_spread, x.log_pace) for x in lessons]).reshape(-1, 3)
    taught_sd = np.array([(x.needs_sd, x.log_spread_sd, x.log_pace_sd) for x in lessons]).reshape(
        -1, 3
    )
    return believed_before(CultivarBelief(mean, sd), np.array(of, int), taught, taught_sd)


def _rows(orchard: OrchardBelief) -> Rows:
    rows = orchard.rows
    return Rows(
        cultivar=np.array([row.group for row in rows]),
        bloomed=np.array([float(orchard.clock(row).at(row.bloomed.toordinal())) for row in rows]),
        bloomed_sd=np.array([row.bloomed_sd for row in rows]),
        fruit=np.array([max(row.facts.counted.fruit, 1.0) for row in rows if row.facts.counted]),
        fruit_log_sd=np.full(len(rows), _ANY_FRUIT_LOG_SD),
    )


def _marks(crops: tuple[CropConstants, ...]) -> TreeMarks:
    """Stages on the tree as long as they take off it at the temperature of a usual day."""
    pace = np.array([c.rate_per_day * float(c.response.relative_rate(PICKING_C)) for c in crops])
    edges = np.array([c.feel_edges for c in crops])
    starts = (edges - edges[:, :1]) / pace[:, None]
    hand = np.array([c.judgement_sd for c in crops]) / pace
    return TreeMarks(starts, DROP_PART * starts[:, -1], DROP_SD_PART * starts[:, -1], hand)


def _sightings(state: SeasonState, orchard: OrchardBelief) -> Sightings:
    """All that was seen until now: counts, walks, and picks after walks of the same moment."""
    row, days = list[int](), list[float]()
    squeezed, picked, unfelt = list[Floats](), list[Floats](), list[float]()
    dropped, hanging, hanging_sd = list[float](), list[float](), list[float]()
    none = np.zeros(len(FEELS))

    def see(
        number: int,
        at: datetime,
        felt: Floats = none,
        taken: tuple[Floats, float] = (none, 0.0),
        fallen: float = np.nan,
        counted: tuple[float, float] = (np.nan, 0.2),
    ) -> None:
        row.append(number)
        days.append(float(orchard.clock(orchard.rows[number]).at(_day(at, state))))
        squeezed.append(felt)
        picked.append(taken[0])
        unfelt.append(taken[1])
        dropped.append(fallen)
        hanging.append(counted[0])
        hanging_sd.append(counted[1])

    for number, of_row in enumerate(orchard.rows):
        facts = of_row.facts
        if facts.counted is not None:
            counted = facts.counted.fruit, facts.counted.log_sd
            see(number, _counted_at(state, of_row), counted=counted)
        for walk in facts.walks:
            if walk.at <= state.now:
                felt = none if walk.feel_counts is None else np.array(walk.feel_counts, float)
                fallen = np.nan if walk.on_ground is None else float(walk.on_ground)
                see(number, walk.at, felt=felt, fallen=fallen)
        for picks in _by_day(state, of_row.picks):
            taken = [_taken(state, of_row, batch) for batch in picks]
            felt = np.sum([by_feel for by_feel, _ in taken], axis=0)
            last = max(batch.picked_at for batch in picks)
            see(number, last, taken=(felt, sum(unfelt for _, unfelt in taken)))
    return Sightings(
        np.array(row, int),
        np.array(days, float),
        np.array(squeezed, float).reshape(-1, len(FEELS)),
        np.array(picked, float).reshape(-1, len(FEELS)),
        np.array(unfelt, float),
        np.array(dropped, float),
        np.array(hanging, float),
        np.array(hanging_sd, float),
    )


def _by_day(state: SeasonState, picks: tuple[Batch, ...]) -> list[list[Batch]]:
    """Picks of a row until now, those of one day together: they were sorted from one round."""
    found: dict[date, list[Batch]] = {}
    for batch in picks:
        if batch.picked_at <= state.now:
            found.setdefault(local_day(batch.picked_at, state.zone), []).append(batch)
    return list(found.values())


def _day(at: datetime, state: SeasonState) -> float:
    """The local day, with its fraction counted from noon."""
    local = at.astimezone(state.zone)
    return local.date().toordinal() + (local.hour + local.minute / 60.0) / 24.0 - 0.5


def _counted_at(state: SeasonState, row: RowInput) -> datetime:
    """When a row's fruit was counted: before its first pick, if nothing else is said."""
    counted_on = row.facts.row.counted_on
    if counted_on is not None:
        return at_local(counted_on, _NOON, state.zone)
    first = min((batch.picked_at for batch in row.picks), default=state.now)
    return min(first, state.now) - timedelta(minutes=1)


def _taken(state: SeasonState, row: RowInput, batch: Batch) -> tuple[Floats, float]:
    """Fruit of a pick by feel, and those of no known feel."""
    mass_g = row.facts.row.fruit_mass_g or state.crops[batch.crop].fruit_mass_g.value
    number = fruit_picked(batch, mass_g / 1000.0)
    felt = np.array(batch.feel_counts or np.zeros(len(FEELS)), float)
    if felt.sum() == 0.0:
        return felt, number
    return felt * max(number / felt.sum(), 1.0), 0.0

"""What was seen of the rows (counts, walks and picks), and what it leaves believed of them."""

from dataclasses import dataclass, fields, replace
from datetime import date, datetime, time, timedelta
from typing import TypeAlias

import numpy as np

from ripenroom.records.batch import FEELS, Batch
from ripenroom.records.check import TreeLesson
from ripenroom.science.orchard.cohort import NEEDS
from ripenroom.science.orchard.row_fit import (
    ROW_SD,
    CultivarBelief,
    RowColumns,
    RowsBelief,
    learn_cultivar,
)
from ripenroom.science.orchard.seasons import believed_before
from ripenroom.science.orchard.sightings import Sightings
from ripenroom.science.orchard.tree_clock import TreeMarks
from ripenroom.science.softening import Floats
from ripenroom.season.amounts import fruit_picked
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.moments import at_local, local_day
from ripenroom.season.orchard.frost import frost_came_on
from ripenroom.season.orchard.heat import FIRST_PICK_SD_DAYS
from ripenroom.season.orchard.orchard_rows import OrchardRows, RowInput, orchard_rows
from ripenroom.season.orchard.orchard_types import Z_80
from ripenroom.season.orchard.priors import (
    DROP_PART,
    DROP_SD_PART,
    PACE_LOG_SD,
    PICKING_C,
    SPREAD_DAYS,
    SPREAD_LOG_SD,
    needs_of,
)
from ripenroom.season.state import SeasonState

_NOON = time(12)


def sightings(state: SeasonState, orchard: OrchardRows) -> Sightings:
    """All that was seen until now: counts, walks, and picks after walks of the same moment.

    What was seen after a frost is no word about ripening: frost brings hard fruit down, and pickers
    strip the trees. What it leaves is told by :mod:`ripenroom.season.orchard.frost`.
    """
    frost = frost_came_on(state, [row.bloom.on for row in orchard.rows])

    def counts(at: datetime) -> bool:
        return at <= state.now and (frost is None or local_day(at, state.zone) <= frost)

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
            if counts(walk.at):
                felt = none if walk.feel_counts is None else np.array(walk.feel_counts, float)
                fallen = np.nan if walk.on_ground is None else float(walk.on_ground)
                see(number, walk.at, felt=felt, fallen=fallen)
        for picks in _by_day(state, [batch for batch in of_row.picks if counts(batch.picked_at)]):
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


def _by_day(state: SeasonState, picks: list[Batch]) -> list[list[Batch]]:
    """Picks of a row, those of one day together: they were sorted from one round."""
    found: dict[date, list[Batch]] = {}
    for batch in picks:
        found.setdefault(local_day(batch.picked_at, state.zone), []).append(batch)
    return list(found.values())


def _day(at: datetime, state: SeasonState) -> float:
    """The local day, with its fraction counted from noon."""
    local = at.astimezone(state.zone)
    return local.date().toordinal() + (local.hour + local.minute / 60.0) / 24.0 - 0.5


def _counted_at(state: SeasonState, row: RowInput) -> datetime:
    """When a row's fruit was counted. If nothing is said: before the season and its first walk or
    pick. Not today: a count that is moved on day by day would say that nothing has dropped yet."""
    counted_on = row.facts.row.counted_on
    if counted_on is not None:
        return at_local(counted_on, _NOON, state.zone)
    looks = [batch.picked_at for batch in row.picks] + [walk.at for walk in row.facts.walks]
    begin = at_local(state.book.season.first_day, _NOON, state.zone)
    return min(begin, state.now, *looks) - timedelta(minutes=1)


def _taken(state: SeasonState, row: RowInput, batch: Batch) -> tuple[Floats, float]:
    """Fruit of a pick by feel, and those of no known feel."""
    mass_g = row.facts.row.fruit_mass_g or state.crops[batch.crop].fruit_mass_g.value
    number = fruit_picked(batch, mass_g / 1000.0)
    felt = np.array(batch.feel_counts or np.zeros(len(FEELS)), float)
    if felt.sum() == 0.0:
        return felt, number
    return felt * max(number / felt.sum(), 1.0), 0.0


_Columns: TypeAlias = CultivarBelief | RowColumns | TreeMarks

_ANY_FRUIT_LOG_SD = 1.0
"""The number that a row sets is told by its count, not by what was believed before."""


@dataclass(frozen=True, slots=True)
class OrchardBelief:
    """What is believed of the rows ``of`` an orchard after what was ``seen`` of them; ``before`` is
    what was believed of each group's cultivar before this season."""

    of: OrchardRows
    seen: Sightings
    before: CultivarBelief
    belief: RowsBelief

    @property
    def needs_off(self) -> Floats:
        """By how many sds what each row needs lies from what was believed before, (rows,)."""
        rows = self.belief.rows
        before, sd = (each[rows.cultivar, 0] for each in (self.before.mean, self.before.sd))
        apart = np.abs(self.belief.mean[:, NEEDS] - before)
        return np.asarray(apart / np.hypot(np.hypot(sd, ROW_SD[0]), rows.bloomed_sd))


MOST_KEPT = 4
"""So many answers are kept: what is undone is asked of as it was before, and done again as after.
"""

_kept: tuple[tuple[tuple[object, ...], OrchardBelief], ...] = ()
"""What was asked of and what was believed, the one that was asked for last first."""


def orchard_belief(state: SeasonState) -> OrchardBelief | None:
    """What is believed of the rows now; None where nothing can be said of any.

    Asked again of the same records on the same day it is the same answer, at no cost; else only
    cultivars are learned of again of which something is another.
    """
    global _kept
    book = state.book
    asked = (
        book.rows, book.cultivars, book.walks, book.batches, book.weather, book.monthly_normals,
        book.frost_dates, book.tree_lessons, book.season, state.crops, state.now,
    )  # fmt: skip
    before = _kept
    for one in before:
        if all(a is b or a == b for a, b in zip(one[0], asked, strict=True)):
            if one is not before[0]:
                _kept = one, *(other for other in before if other is not one)
            return one[1]
    found = belief_anew(state, before[0][1] if before else None)
    if found is not None:
        _kept = (asked, found), *before[: MOST_KEPT - 1]
    return found


def belief_anew(state: SeasonState, last: OrchardBelief | None = None) -> OrchardBelief | None:
    """:func:`orchard_belief` without looking whether it was asked before."""
    orchard = orchard_rows(state)
    if orchard is None:
        return None
    before, seen = _before(state, orchard), sightings(state, orchard)
    known = last if last is not None and last.of.alike(orchard) else None
    belief = _learned(orchard, before, seen, known)
    return OrchardBelief(orchard, seen, before, belief)


def _learned(
    orchard: OrchardRows, before: CultivarBelief, seen: Sightings, last: OrchardBelief | None
) -> RowsBelief:
    """Learn what is not the same as it was ``last``, cultivar by cultivar."""
    rows, marks = _rows(orchard), _marks(orchard.crops)
    belief = RowsBelief.nothing(rows, marks, before)
    if last is not None:
        belief = replace(last.belief, rows=rows, marks=marks)
    for group in range(len(orchard.groups)):
        lines = np.flatnonzero(rows.cultivar == group)
        if last is None or not (
            _same(last.before.of([group]), before.of([group]))
            and _same(last.belief.rows.of(lines), rows.of(lines))
            and _same(last.belief.marks.of(lines), marks.of(lines))
            and seen.same_of(lines, last.seen)
        ):
            belief = learn_cultivar(belief, group, before, seen)
    return belief


def _same(one: _Columns, other: _Columns) -> bool:
    return all(np.array_equal(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))


def _before(state: SeasonState, orchard: OrchardRows) -> CultivarBelief:
    """Of each group what the book, its spring and earlier seasons leave believed."""
    groups = orchard.groups
    mean, sd = np.zeros((len(groups), 3)), np.zeros((len(groups), 3))
    of, lessons = list[int](), list[TreeLesson]()
    for place, group in enumerate(groups):
        cultivar = state.book.cultivars[group.cultivar_id]
        needs = needs_of(cultivar.crop)
        days = (needs.heat_days, needs.heat_sd) if group.by_heat else (needs.days, needs.days_sd)
        days = _by_spring(orchard, place) or days
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


def _by_spring(orchard: OrchardRows, group: int) -> tuple[float, float] | None:
    """What a cultivar needs if its first fruit, one in ten, are ready when spring says, and its sd;
    None where nothing is published of it."""
    rows = [row for row in orchard.rows if row.group == group]
    needs, day = list[float](), list[float]()
    for row in rows:
        if row.spring is not None and row.spring.first_pick is not None:
            middle = row.spring.first_pick.toordinal() + Z_80 * SPREAD_DAYS
            clock = orchard.clock(row)
            needs.append(float(clock.at(middle) - clock.at(row.bloom.on.toordinal())))
            day.append(float(clock.at(middle + 1.0) - clock.at(middle)))
    if not needs:
        return None
    return float(np.mean(needs)), FIRST_PICK_SD_DAYS * max(float(np.mean(day)), 0.1)


def _rows(orchard: OrchardRows) -> RowColumns:
    rows = orchard.rows
    return RowColumns(
        cultivar=np.array([row.group for row in rows]),
        bloomed=np.array([float(orchard.clock(row).at(row.bloom.on.toordinal())) for row in rows]),
        bloomed_sd=np.array([row.bloom.sd_days for row in rows]),
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

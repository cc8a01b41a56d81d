"""What was seen of the rows until now, as the science takes it: counts, walks and picks."""

from datetime import date, datetime, time, timedelta

import numpy as np

from ripenroom.records.batch import FEELS, Batch
from ripenroom.science.orchard.sightings import Sightings
from ripenroom.science.softening import Floats
from ripenroom.season.amounts import fruit_picked
from ripenroom.season.moments import at_local, local_day
from ripenroom.season.orchard.frost import frost_came_on
from ripenroom.season.orchard.orchard_rows import OrchardRows, RowInput
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

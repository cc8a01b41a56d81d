"""What frost has left in each row: by what is published, and by what was seen there since."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ripenroom.records.batch import Batch
from ripenroom.science.orchard.cohort import FOUND_SHARE
from ripenroom.season.amounts import fruit_picked
from ripenroom.season.moments import local_day
from ripenroom.season.orchard.first_frost import share_left
from ripenroom.season.orchard.found import FrostForecast
from ripenroom.season.orchard.orchard_rows import RowInput
from ripenroom.season.state import SeasonState


@dataclass(frozen=True, slots=True)
class _Seen:
    """Fruit squeezed on the trees, picked off them and found below them on a day."""

    on: date
    hung: float = 0.0
    picked: float = 0.0
    fallen: float = 0.0


def left_in_row(
    state: SeasonState,
    frost: FrostForecast | None,
    row: RowInput,
    hung: float,
    days: Sequence[date],
) -> tuple[float, ...]:
    """The share of the ``hung`` fruit of a row that frost, and picks since it, leave there by each
    of some days.

    How much a frost brings down was written of few places. Where a row is seen to hold more than
    that would leave, as much has fallen as was found below it, and a later frost counts anew.
    """
    if frost is None or frost.came_on is None or hung <= 0.0:
        return (1.0,) * len(days)
    nights, spared, taken, fallen = frost.nights, 1.0, 0.0, 0.0
    for seen in _seen_since(state, row, frost.came_on):
        fallen += seen.fallen / FOUND_SHARE
        # What is picked hung as well.
        at_least = min((seen.hung + seen.picked) / hung, 1.0)
        by_book = spared * share_left(nights, seen.on) - taken
        if at_least > by_book + 1e-9:
            spared = max(1.0 - fallen / hung, at_least + taken)
            nights = tuple(night for night in nights if night.on >= seen.on)
        taken += seen.picked / hung
    return tuple(max(spared * share_left(nights, day) - taken, 0.0) for day in days)


def _seen_since(state: SeasonState, row: RowInput, came_on: date) -> list[_Seen]:
    """What was seen of a row after the first night of frost, in order."""
    found = [
        _Seen(on, float(sum(walk.feel_counts or ())), 0.0, float(walk.on_ground or 0))
        for walk in row.facts.walks
        if walk.at <= state.now and (on := local_day(walk.at, state.zone)) > came_on
    ]
    found += [
        _Seen(on, picked=_number(state, row, batch))
        for batch in row.picks
        if batch.picked_at <= state.now and (on := local_day(batch.picked_at, state.zone)) > came_on
    ]
    return sorted(found, key=lambda seen: seen.on)


def _number(state: SeasonState, row: RowInput, batch: Batch) -> float:
    mass_g = row.facts.row.fruit_mass_g or state.crops[batch.crop].fruit_mass_g.value
    return fruit_picked(batch, mass_g / 1000.0)

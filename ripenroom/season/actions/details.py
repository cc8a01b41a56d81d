"""What a season begins with, and changing its name, zone, first day, units, currency or hands."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from ripenroom.records.book import Record
from ripenroom.records.orchard import Cultivar
from ripenroom.records.place import Place
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.season.actions import orchard, places
from ripenroom.season.actions.action import Action, tidy
from ripenroom.season.moments import start_of_day
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr


def save(state: SeasonState, season: SeasonDetails) -> Action:
    """Change the season's name, zone, first day, units, currency or hands for moving crates."""
    season = tidy(season)
    first = start_of_day(season.first_day, ZoneInfo(season.zone))
    earliest = min((b.picked_at for b in state.book.batches.values()), default=None)
    if earliest is not None and earliest < first:
        raise Refusal("first_day", "Fruit was picked before that day. Choose an earlier first day.")
    return Action(tr("change of the season"), (season,))


def furnish(
    state: SeasonState,
    cultivars: Sequence[Cultivar],
    places_at_c: Sequence[tuple[Place, float]],
) -> Action:
    """Make the cultivars and places (each held at C) that a season begins with."""
    put = list[Record]()
    for cultivar in cultivars:
        made = orchard.save_cultivar(state, cultivar)
        state, put = state.with_changes(made.put), [*put, *made.put]
    for place, set_point_c in places_at_c:
        made = places.save(state, place, set_point_c)
        state, put = state.with_changes(made.put), [*put, *made.put]
    return Action(tr("what the season begins with"), tuple(put))

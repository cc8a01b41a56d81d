"""Actions on the season as a whole: its beginning, its details, going back to a copy, merging."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from ripenroom.days import full_moment
from ripenroom.records.book import Record, put_and_deleted
from ripenroom.records.orchard import Cultivar
from ripenroom.records.place import Place
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.season.actions import orchard, places
from ripenroom.season.actions.action import Action, tidy
from ripenroom.season.copies import Merge, Side, changes_back_to
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
    return Action(tr("first places and cultivars"), tuple(put))


def go_back_to(state: SeasonState, backup: Path, kept_at: datetime) -> Action:
    """Make the records what they are in a copy."""
    put, deleted = put_and_deleted(changes_back_to(state.book, backup))
    at = kept_at.astimezone(state.zone)
    return Action(tr("going back to the copy of {at}").format(at=full_moment(at)), put, deleted)


def take_in(state: SeasonState, meeting: Merge, choices: Mapping[str, Side], name: str) -> Action:
    """Bring a meeting together in the open season."""
    if meeting.mine != state.book:
        raise Refusal("", "The season has changed since; compare the two copies again.")
    put, deleted = put_and_deleted(meeting.changes(choices))
    return Action(tr("changes from {name}").format(name=name), put, deleted)

"""Squeeze walks: saved, changed and deleted. Nothing leaves the trees by one."""

from collections.abc import Sequence
from datetime import timedelta

from ripenroom.records.book import Book
from ripenroom.records.checking import checked
from ripenroom.records.orchard import Walk
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action, require_not_ahead
from ripenroom.season.actions.orchard import require_row
from ripenroom.season.moments import start_of_day
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.texts import tr, tr_n

FIRST_WALK = timedelta(days=120)
"""Fruit is on the trees so long before the first of it is picked."""


def add(state: SeasonState, walk: Walk) -> Action:
    """Save a walk of one row."""
    return add_all(state, [walk])


def add_all(state: SeasonState, walks: Sequence[Walk]) -> Action:
    """Save the walks of several rows; all of them or none."""
    if not walks:
        raise Refusal("", "No fruit counted yet: squeeze some in at least one row.")
    put: list[Walk] = []
    for walk in walks:
        walk = _sound(state, walk)
        if any(_same(walk, other) for other in (*state.book.walks.values(), *put)):
            row = state.book.rows[walk.row_id]
            raise Refusal("at", "This walk of {row} is saved already.", row=row.name)
        put.append(walk)
    rows = sorted({state.book.rows[walk.row_id].name for walk in put})
    label = tr("walk of {row}").format(row=rows[0])
    if len(rows) > 1:
        label = tr_n("walk of {n} row", "walk of {n} rows", len(rows))
    return Action(label, tuple(put))


def change(state: SeasonState, walk: Walk) -> Action:
    """Replace a walk by a corrected one of the same id."""
    _require_known(state.book, walk.id)
    walk = _sound(state, walk)
    return Action(
        tr("change of a walk of {row}").format(row=state.book.rows[walk.row_id].name), (walk,)
    )


def delete(state: SeasonState, walk_id: str) -> Action:
    """Take a walk out of the records."""
    walk = _require_known(state.book, walk_id)
    row = state.book.rows[walk.row_id].name
    return Action(tr("deletion of a walk of {row}").format(row=row), deleted=(walk,))


def _require_known(book: Book, walk_id: str) -> Walk:
    if walk_id not in book.walks:
        raise Refusal("", "This walk is not in the season any more.")
    return book.walks[walk_id]


def _sound(state: SeasonState, walk: Walk) -> Walk:
    book = state.book
    require_row(book, walk.row_id)
    walk = checked(walk)
    require_not_ahead("at", walk.at, state.now)
    season = book.season
    if walk.at < start_of_day(season.first_day, zone_of(season)) - FIRST_WALK:
        raise Refusal(
            "at",
            "This walk is more than {days} days before the season’s first day, {first}. "
            "Fix the date, or start the season earlier.",
            days=FIRST_WALK.days,
            first=season.first_day,
        )
    return walk


def _same(walk: Walk, other: Walk) -> bool:
    about = (walk.row_id, walk.at, walk.feel_counts, walk.on_ground)
    return about == (other.row_id, other.at, other.feel_counts, other.on_ground)

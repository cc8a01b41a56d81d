"""Actions on what grows: cultivars, rows of trees, and walks on which their fruit is squeezed."""

from collections.abc import Sequence
from datetime import timedelta

from ripenroom.records.book import Book
from ripenroom.records.orchard import Cultivar, Row, Walk
from ripenroom.records.refusal import Refusal
from ripenroom.records.validation import checked
from ripenroom.season.actions.action import Action, require_free_name, require_not_ahead, tidy
from ripenroom.season.moments import start_of_day
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.texts import tr, tr_n


def save_cultivar(state: SeasonState, cultivar: Cultivar) -> Action:
    """Make or change a cultivar."""
    book = state.book
    cultivar = tidy(cultivar)
    others = (
        c.name for c in book.cultivars.values() if c.id != cultivar.id and c.crop == cultivar.crop
    )
    require_free_name(cultivar.name, others, tr("cultivar"))
    if cultivar.crop not in state.crops:
        raise Refusal("crop", "There is no crop “{crop}” here.", crop=cultivar.crop)
    old = book.cultivars.get(cultivar.id)
    if old is not None and old.crop != cultivar.crop:
        _require_unused(book, old)
    label = tr("change of {what}") if old else tr("new cultivar {what}")
    return Action(label.format(what=cultivar.name), (cultivar,))


def _require_unused(book: Book, cultivar: Cultivar) -> None:
    """Refuse another crop for a cultivar that something of its crop names."""
    if any(b.cultivar_id == cultivar.id for b in book.batches.values()):
        raise Refusal(
            "crop", "There are batches of “{name}”, so its crop stays.", name=cultivar.name
        )
    if any(pick.cultivar_id == cultivar.id for pick in book.expected_picks.values()):
        raise Refusal("crop", "A pick of “{name}” is expected; its crop stays.", name=cultivar.name)


def require_cultivar(book: Book, cultivar_id: str, crop: str) -> None:
    """Refuse a cultivar that is gone, or of another crop than what it is named for."""
    cultivar = book.cultivars.get(cultivar_id)
    if cultivar is None:
        raise Refusal("cultivar_id", "This cultivar is not in the season any more; choose again.")
    if cultivar.crop != crop:
        raise Refusal("cultivar_id", "“{name}” is of another crop.", name=cultivar.name)


def delete_cultivar(state: SeasonState, cultivar_id: str) -> Action:
    """Delete a cultivar that no batch, no row and no expected pick names."""
    book = state.book
    cultivar = book.cultivars.get(cultivar_id)
    if cultivar is None:
        raise Refusal("", "This cultivar is not in the season any more.")
    named = {b.cultivar_id for b in book.batches.values()}
    named |= {row.cultivar_id for row in book.rows.values()}
    if cultivar_id in named:
        raise Refusal("", "Batches or rows are of “{name}”; rename it instead.", name=cultivar.name)
    if any(pick.cultivar_id == cultivar_id for pick in book.expected_picks.values()):
        raise Refusal(
            "",
            "A pick of “{name}” is expected; edit or delete the expected pick first.",
            name=cultivar.name,
        )
    return Action(tr("deletion of {cultivar}").format(cultivar=cultivar.name), deleted=(cultivar,))


def save_row(state: SeasonState, row: Row) -> Action:
    """Make or change a row of trees."""
    book = state.book
    row = tidy(row)
    require_free_name(row.name, (r.name for r in book.rows.values() if r.id != row.id), tr("row"))
    if row.cultivar_id is not None and row.cultivar_id not in book.cultivars:
        raise Refusal("cultivar_id", "This cultivar is not in the season any more; choose again.")
    if row.bloomed_on is not None and row.bloomed_on > state.today:
        raise Refusal(
            "bloomed_on",
            "Full bloom on {on} lies ahead: leave it open until it has come.",
            on=row.bloomed_on,
        )
    if row.trees == 0 and (row.fruit_on_trees or any(row.branch_counts)):
        raise Refusal("trees", "A row without trees bears no fruit: how many trees does it have?")
    label = tr("change of {what}") if row.id in book.rows else tr("new row {what}")
    return Action(label.format(what=row.name), (row,))


def require_row(book: Book, row_id: str) -> Row:
    """The row of that id; refuse one that is gone."""
    if row_id not in book.rows:
        raise Refusal("row_id", "This row is not in the season any more; choose again.")
    return book.rows[row_id]


def delete_row(state: SeasonState, row_id: str) -> Action:
    """Delete a row that no batch and no walk names."""
    book = state.book
    row = book.rows.get(row_id)
    if row is None:
        raise Refusal("", "This row is not in the season any more.")
    if any(b.row_id == row_id for b in book.batches.values()):
        raise Refusal("", "Batches were picked in “{name}”; rename it instead.", name=row.name)
    if any(walk.row_id == row_id for walk in book.walks.values()):
        raise Refusal("", "“{name}” was walked; rename it instead.", name=row.name)
    return Action(tr("deletion of {row}").format(row=row.name), deleted=(row,))


FIRST_WALK = timedelta(days=120)
"""Fruit is on the trees so long before the first of it is picked."""


def add_walk(state: SeasonState, walk: Walk) -> Action:
    """Save a walk of one row."""
    return add_walks(state, [walk])


def add_walks(state: SeasonState, walks: Sequence[Walk]) -> Action:
    """Save the walks of several rows; all of them or none."""
    if not walks:
        raise Refusal("", "No fruit counted yet: squeeze some in at least one row.")
    put: list[Walk] = []
    for walk in walks:
        walk = _sound_walk(state, walk)
        if any(_same_walk(walk, other) for other in (*state.book.walks.values(), *put)):
            row = state.book.rows[walk.row_id]
            raise Refusal("at", "This walk of {row} is saved already.", row=row.name)
        put.append(walk)
    rows = sorted({state.book.rows[walk.row_id].name for walk in put})
    label = tr("walk of {row}").format(row=rows[0])
    if len(rows) > 1:
        label = tr_n("walk of {n} row", "walk of {n} rows", len(rows))
    return Action(label, tuple(put))


def change_walk(state: SeasonState, walk: Walk) -> Action:
    """Replace a walk by a corrected one of the same id."""
    _require_walk(state.book, walk.id)
    walk = _sound_walk(state, walk)
    return Action(
        tr("change of a walk of {row}").format(row=state.book.rows[walk.row_id].name), (walk,)
    )


def delete_walk(state: SeasonState, walk_id: str) -> Action:
    """Take a walk out of the records."""
    walk = _require_walk(state.book, walk_id)
    row = state.book.rows[walk.row_id].name
    return Action(tr("deletion of a walk of {row}").format(row=row), deleted=(walk,))


def _require_walk(book: Book, walk_id: str) -> Walk:
    if walk_id not in book.walks:
        raise Refusal("", "This walk is not in the season any more.")
    return book.walks[walk_id]


def _sound_walk(state: SeasonState, walk: Walk) -> Walk:
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


def _same_walk(walk: Walk, other: Walk) -> bool:
    about = (walk.row_id, walk.at, walk.feel_counts, walk.on_ground)
    return about == (other.row_id, other.at, other.feel_counts, other.on_ground)

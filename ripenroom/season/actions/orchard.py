"""Making, changing and deleting cultivars and rows of trees."""

from ripenroom.records.book import Book
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action, require_free_name, tidy
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr


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
        raise Refusal("trees", "A row without trees bears no fruit: how many trees has it?")
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

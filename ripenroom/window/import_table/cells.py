"""The cells of a table on its way in, and beside each row what is wrong with it."""

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtGui import QColor

from ripenroom.texts import tr
from ripenroom.window.import_table.corrections import meaning_name
from ripenroom.window.import_table.state import RowTrouble, TableState
from ripenroom.window.palette import Palette
from ripenroom.window.widgets.table import TableColumn

Fixed = Callable[[int, int, str], None]
"""Takes a row and a column of the grid, and what was typed there."""


class CellRow(NamedTuple):
    """A row: its line number in the table that came, and which row of the grid it is now."""

    number: int
    at: int


def cell_rows(state: TableState, *, only_wrong: bool) -> list[CellRow]:
    """All rows, or those that have to be fixed."""
    rows = (CellRow(number, at) for at, number in enumerate(state.grid.numbers))
    return [row for row in rows if not only_wrong or row.number in state.troubles]


def cell_columns(state: TableState, ink: Palette, fixed: Fixed) -> list[TableColumn[CellRow]]:
    """First what is wrong. Then the table's own columns, whose cells can be fixed."""
    own = [_own_column(state, column, ink, fixed) for column in range(len(state.grid.heads))]
    return [_to_fix(state, ink), *own]


def _to_fix(state: TableState, ink: Palette) -> TableColumn[CellRow]:
    def text(row: CellRow) -> str:
        trouble = state.troubles.get(row.number)
        if trouble is None:
            return "✓"
        return f"{'?' if trouble.asks else '!'} {words_of(trouble)}"

    return TableColumn(
        # The headings beside it are of two lines.
        tr("To fix") + "\n",
        text,
        hint=lambda row: text(row) if state.troubles.get(row.number) else None,
        ink=lambda row: ink.warning if state.troubles.get(row.number) else None,
    )


def _own_column(state: TableState, column: int, ink: Palette, fixed: Fixed) -> TableColumn[CellRow]:
    """A head with its meaning; a cell at fault has another ground, and says why."""
    head = state.grid.heads[column] or tr("(no heading)")
    key = state.mapping.meaning_of[column]
    heading = f"{head}\n{meaning_name(key) if key else tr('left out')}"

    def why(row: CellRow) -> str | None:
        trouble = state.troubles.get(row.number)
        return trouble.why_of(key) if trouble is not None and key is not None else None

    def ground(row: CellRow) -> QColor | None:
        return ink.warning_paper if why(row) is not None else None

    return TableColumn(
        heading,
        lambda row: state.grid.rows[row.at][column],
        hint=why,
        described=why,
        ink=(lambda _row: ink.faint) if key is None else None,
        ground=ground,
        take=lambda row, text: fixed(row.at, column, text),
        heading_hint=heading,
    )


def words_of(trouble: RowTrouble) -> str:
    """All that keeps a row from being taken, each with the column that it is about."""
    said = []
    for key, why in ((trouble.key, trouble.why), *trouble.also):
        # A reason such as "is needed" says nothing by itself; a whole sentence does.
        said.append(f"{meaning_name(key)}: {why}" if key and not why[:1].isupper() else why)
    return "; ".join(said)


def column_at_fault(state: TableState, row: CellRow) -> int | None:
    """The first shown column of a row that has to be fixed, None where none is at fault."""
    trouble = state.troubles.get(row.number)
    if trouble is None:
        return None
    meant = enumerate(state.mapping.meaning_of, start=1)
    wrong = (column for column, key in meant if key and trouble.why_of(key) is not None)
    return next(wrong, None)

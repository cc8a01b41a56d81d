"""A table on its way in: its cells, what they mean, and what became of each row."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from ripenroom.exchange.table_in.columns import ColumnMapping, Kind
from ripenroom.exchange.table_in.grid import Grid, grid_in, grid_pasted
from ripenroom.exchange.table_in.reading import read
from ripenroom.records.refusal import Question, Refusal
from ripenroom.season import actions
from ripenroom.season.state import SeasonState
from ripenroom.window.dialogs import ask
from ripenroom.window.session import Session


@dataclass(frozen=True, slots=True)
class RowTrouble:
    """Why a row cannot be taken: the key of the column at fault (or ""), and why.

    A row in question (``asks``) can be taken if the user says that it is right.
    """

    key: str
    why: str
    asks: bool = False


@dataclass(frozen=True, slots=True)
class TableState:
    """What is known of a table now; a new one is made of every correction."""

    name: str
    grid: Grid
    mapping: ColumnMapping
    usual: actions.table_import.Usual
    answered: Mapping[int, frozenset[str]] = field(default_factory=dict)
    rows: tuple[actions.table_import.RowIn, ...] = ()
    troubles: Mapping[int, RowTrouble] = field(default_factory=dict)
    """By line number in the table."""

    @property
    def kind(self) -> Kind:
        """What the table holds."""
        return self.mapping.kind

    @property
    def good(self) -> tuple[actions.table_import.RowIn, ...]:
        """Rows that can be taken."""
        return tuple(row for row in self.rows if row.number not in self.troubles)

    def without_taken(self, taken: frozenset[int]) -> "TableState":
        """What is left of the table when some rows, by line number, are in the season."""
        kept = [n for n, number in enumerate(self.grid.numbers) if number not in taken]
        grid = Grid(
            self.grid.heads,
            tuple(self.grid.rows[n] for n in kept),
            tuple(self.grid.numbers[n] for n in kept),
        )
        rows = tuple(row for row in self.rows if row.number not in taken)
        return replace(self, grid=grid, rows=rows)


def looked_over(state: TableState, season: SeasonState) -> TableState:
    """The state with its rows read and tried against the season; nothing is written."""
    if state.mapping.missing():
        return replace(state, rows=(), troubles={})
    troubles: dict[int, RowTrouble] = {}
    rows: list[actions.table_import.RowIn] = []
    for found in read(state.grid, state.mapping, season.zone):
        number = found.row.number
        rows.append(replace(found.row, answered=state.answered.get(number, frozenset())))
        for key, why in found.problems.items():
            troubles.setdefault(number, RowTrouble(key, why))
    fit = [row for row in rows if row.number not in troubles]
    tried = actions.table_import.look_over(season, state.kind, fit, state.usual, state.name)
    for number, refusal in tried.refused.items():
        asks = isinstance(refusal, Question) and refusal.possible
        troubles[number] = RowTrouble(_column(refusal.field), refusal.message, asks)
    return replace(state, rows=tuple(rows), troubles=troubles)


def _column(field_name: str) -> str:
    """The key of the column that a command's field comes from."""
    return {
        "place_id": "place",
        "cultivar_id": "cultivar",
        "row_id": "row",
        "feel_counts": "gives",
        "name": "market_day",
        "batch_id": "batch",
        "price_minor": "price",
    }.get(field_name, field_name)


def choose_table(session: Session, parent: QWidget) -> None:
    """Ask for a file and take its table in."""
    chosen, _ = QFileDialog.getOpenFileName(
        parent,
        QCoreApplication.translate("TableIn", "Bring in a table"),
        "",
        QCoreApplication.translate("TableIn", "Tables (*.csv *.tsv *.txt *.xlsx)"),
    )
    if chosen:
        bring_in_file(session, Path(chosen), parent)


def bring_in_file(session: Session, path: Path, parent: QWidget) -> None:
    """Read a file's table beside the window, then take it in."""
    session.run_beside(
        QCoreApplication.translate("TableIn", "Reading {file}…").format(file=path.name),
        lambda: grid_in(path),
        lambda grid: _bring_in(session, grid, path.name, parent),
    )


def bring_in_copied(session: Session, parent: QWidget) -> int:
    """Take in the table that was copied from a spreadsheet; how many rows were written down."""
    text = QGuiApplication.clipboard().text()
    found: list[Grid] = []

    def read() -> None:
        if not text.strip():
            raise Refusal("", "There is nothing to paste. Copy rows in a spreadsheet first.")
        found.append(grid_pasted(text))

    if not session.run("", read):
        return 0
    name = QCoreApplication.translate("TableIn", "the copied table")
    return _bring_in(session, found[0], name, parent)


def _bring_in(session: Session, grid: Grid, name: str, parent: QWidget) -> int:
    from ripenroom.window.table_in.dialog import TableInDialog

    dialog = TableInDialog(session, grid, name, parent)
    ask(dialog)
    return dialog.taken

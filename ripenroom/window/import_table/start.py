"""Where a table comes from: a file that is chosen or dropped, or what was copied elsewhere."""

from pathlib import Path

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from ripenroom.exchange.record_table.grid import Grid, grid_in, grid_pasted
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask
from ripenroom.window.session import Session


def choose_table(session: Session, parent: QWidget) -> None:
    """Ask for a file and take its table in."""
    chosen, _ = QFileDialog.getOpenFileName(
        parent,
        tr("Import a table"),
        "",
        tr("Tables (*.csv *.tsv *.txt *.xlsx)"),
    )
    if chosen:
        bring_in_file(session, Path(chosen), parent)


def bring_in_file(session: Session, path: Path, parent: QWidget) -> None:
    """Read a file's table beside the window, then take it in."""
    session.run_beside(
        tr("Reading {file}…").format(file=path.name),
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
    name = tr("the copied table")
    return _bring_in(session, found[0], name, parent)


def _bring_in(session: Session, grid: Grid, name: str, parent: QWidget) -> int:
    from ripenroom.window.import_table.dialog import TableInDialog

    dialog = TableInDialog(session, grid, name, parent)
    ask(dialog)
    return dialog.taken

"""What the File menu does with other files: copies of the season, tables in, everything out."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from ripenroom.private_file import with_ending
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask, proposed
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.exchange.record_table.grid import Grid
    from ripenroom.season.copies import Merge
    from ripenroom.window.copies.keeper import CopyKeeper


Write = Callable[[Path], object]
"""Writes what it holds to a file; it knows no window and no open season."""


class FileActions(QObject):
    """Each method asks for what it needs, does it, and says so; without a season it does nothing.

    What it works with is imported when it is first asked for. ``openAsked`` asks for a season file
    (its path).
    """

    openAsked = Signal(object)  # noqa: N815 - named as Qt names signals

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self._session: Session | None = None
        self._copies: CopyKeeper | None = None

    def work_on(self, session: Session, copies: "CopyKeeper") -> None:
        """Take up an open season and who keeps its copies."""
        self._session, self._copies = session, copies

    def let_go(self) -> None:
        """The season is being closed."""
        self._session = self._copies = None

    def earlier_copies(self) -> None:
        """Show the copies that were kept, and go back to one."""
        session, copies = self._session, self._copies
        if session is None or copies is None:
            return
        from ripenroom.window.copies.earlier_dialog import EarlierDialog

        dialog = EarlierDialog(session, copies.there(), self._window)
        dialog.openAsked.connect(self.openAsked)
        ask(dialog)

    def save_lessons(self) -> None:
        """Ask for a name and write what the season taught, for others to begin from."""
        if self._session is not None:
            from ripenroom.window.review.lessons import ask_to_save

            ask_to_save(self._session, self._window)

    def begin_from_lessons(self) -> None:
        """Ask for a file of lessons or another season, and begin from what it taught."""
        if self._session is not None:
            from ripenroom.window.review.lessons import ask_to_begin

            ask_to_begin(self._session, self._window)

    def merge(self) -> None:
        """Ask for another copy of the season and bring its changes in."""
        if self._session is None:
            return
        from ripenroom.window.season_files import file_filter

        name, _ = QFileDialog.getOpenFileName(
            self._window, tr("Bring in changes from another copy"), "", file_filter()
        )
        if name:
            self.merge_with(Path(name))

    def merge_with(self, other: Path) -> None:
        """Bring in the changes of a copy."""
        session = self._session
        if session is None:
            return
        from ripenroom.window.copies.merge_dialog import MergeDialog

        def show(meeting: "Merge") -> None:
            if session is self._session:
                session.say("")
                ask(MergeDialog(session, meeting, other.name, self._window))

        session.run(
            "",
            lambda: session.run_beside(
                tr("Comparing with {file}…").format(file=other.name),
                session.season.copies.meeting_with(other),
                show,
            ),
        )

    def bring_in_table(self) -> None:
        """Ask for a table and take its rows in."""
        if self._session is not None:
            choose_table(self._session, self._window)

    def paste_table(self) -> None:
        """Take in the rows that were copied from a spreadsheet."""
        if self._session is not None:
            bring_in_copied(self._session, self._window)

    def export_workbook(self) -> None:
        """Write every table into one spreadsheet file."""

        def ready(session: Session) -> Write:
            from ripenroom.exchange.season_tables import season_tables
            from ripenroom.exchange.table_writing import write_workbook

            tables = season_tables(session.season)
            return lambda path: write_workbook(tables, path)

        self._export(tr("Spreadsheets (*.xlsx)"), ".xlsx", ready)

    def export_json(self) -> None:
        """Write every record as open JSON."""

        def ready(session: Session) -> Write:
            from ripenroom.exchange.season_json import write_json

            book = session.season.book
            return lambda path: write_json(book, path)

        self._export(tr("JSON (*.json)"), ".json", ready)

    def export_calendar(self) -> None:
        """Write market days and pulls for a calendar."""

        def ready(session: Session) -> Write:
            from ripenroom.exchange.calendar_file import put_calendar, season_calendar

            calendar = season_calendar(session.season, session.plans.plan)
            return lambda path: put_calendar(calendar, path)

        self._export(tr("Calendars (*.ics)"), ".ics", ready)

    def _export(self, kinds: str, suffix: str, ready: Callable[[Session], Write]) -> None:
        """Ask for a file, and write it beside the window with what is ``ready`` to be written."""
        window, session = self._window, self._session
        if session is None:
            return
        here = session.season.path
        name, _ = QFileDialog.getSaveFileName(
            window, tr("Save in"), proposed(here.parent, here.stem, suffix), kinds
        )
        if not name:
            return
        path = with_ending(Path(name), suffix)

        write = ready(session)
        session.run_beside(
            tr("Saving {file}…").format(file=path.name),
            lambda: write(path),
            lambda _: session.say(tr("Saved in {file}").format(file=path)),
        )


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
    from ripenroom.exchange.record_table.grid import grid_in

    session.run_beside(
        tr("Reading {file}…").format(file=path.name),
        lambda: grid_in(path),
        lambda grid: _bring_in(session, grid, path.name, parent),
    )


def bring_in_copied(session: Session, parent: QWidget) -> int:
    """Take in the table that was copied from a spreadsheet; how many rows were written down."""
    from ripenroom.exchange.record_table.grid import grid_pasted

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


def _bring_in(session: Session, grid: "Grid", name: str, parent: QWidget) -> int:
    from ripenroom.window.import_table.dialog import TableInDialog

    dialog = TableInDialog(session, grid, name, parent)
    ask(dialog)
    return dialog.taken

"""Every crate of the plan in a table that sorts, with pins, copying and export."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtWidgets import (
    QFileDialog,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.private_file import with_ending
from ripenroom.season import actions
from ripenroom.season.plans.decisions import as_pin
from ripenroom.texts import tr, tr_n
from ripenroom.window.dialogs import proposed
from ripenroom.window.plain import set_hint
from ripenroom.window.plan.itinerary_table import (
    Column,
    itinerary_columns,
    known_by,
    there,
)
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel
from ripenroom.window.widgets.table import Table
from ripenroom.window.widgets.table_view import Choice, TableView
from ripenroom.wording.plan.itineraries import crates_of, why_not_pinned

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


_MEASURED = 60
"""Measuring every row is slow in a big plan; the first ones tell enough."""
_AIR_PX = 8
"""Pixels that part the texts of rows with several lines."""


class LinesView(QWidget):
    """The table with its buttons; P pins a line or takes its pin off, Ctrl+C copies."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.model = Table(itinerary_columns(session), self, id_of=known_by)
        self.table = TableView(tr("Lines of the plan"), self.model, self, Choice.ROWS)
        self.table.start_sorted(Column.MARKET, Qt.SortOrder.AscendingOrder)
        self.table.widthChanged.connect(self._fit_columns)
        self.model.layoutChanged.connect(self._fit_rows)
        self.table.setAlternatingRowColors(True)
        self._broken = False
        self.table.setWordWrap(False)
        self.nothing = WrappedLabel(tr("The plan has no lines."), self)
        self.pin_button = QPushButton(tr("Pi&n"), self)
        self.copy_button = QPushButton(tr("Cop&y"), self)
        set_hint(
            self.copy_button,
            tr("Copy the chosen lines, or all of them, for a spreadsheet (Ctrl+C)"),
        )
        self.export_button = QPushButton(tr("&Save as CSV…"), self)
        self.pin_button.clicked.connect(self.pin_or_unpin)
        self.copy_button.clicked.connect(self.copy)
        self.export_button.clicked.connect(self._ask_export)
        self.table.act_on(Qt.Key.Key_P, does=self.pin_or_unpin)
        self.table.act_on(QKeySequence.StandardKey.Copy, does=self.copy)
        self.table.selectionModel().currentRowChanged.connect(self._show_buttons)
        buttons = FlowLayout()
        for button in (self.pin_button, self.copy_button, self.export_button):
            buttons.addWidget(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 0)
        layout.setSpacing(8)
        layout.addLayout(buttons)
        layout.addWidget(self.nothing)
        layout.addWidget(self.table, 1)
        self._show_buttons()

    def refresh(self) -> None:
        """Show the plan as it is now; the line that was chosen stays so if it is still there."""
        lines = there(self._session)
        self.model.show_rows(lines, itinerary_columns(self._session, lines))
        self._fit_columns()
        self.table.setVisible(bool(self.model.rows))
        self.nothing.setVisible(not self.model.rows)
        self._show_buttons()

    def _fit_columns(self) -> None:
        # Measured with each text on a line of its own.
        self.table.setWordWrap(False)
        self._broken = self.table.fit_columns(measured=_MEASURED)
        self.table.setWordWrap(self._broken)
        self._fit_rows()

    def _fit_rows(self) -> None:
        """Make rows as high as their texts: a line for each move, and two where texts are broken.

        To have Qt measure every cell holds the window up for seconds where there are thousands.
        """
        header, letters = self.table.verticalHeader(), self.table.fontMetrics()
        least = 2 if self._broken else 1

        def high(lines: int) -> int:
            return letters.height() + (lines - 1) * letters.lineSpacing() + 2 * _AIR_PX

        header.setDefaultSectionSize(high(least))
        for row, line in enumerate(self.model.rows):
            lines = max(1, len(line.steps)) * least
            if header.sectionSize(row) != high(lines):
                header.resizeSection(row, high(lines))

    def current(self) -> "PlannedItinerary | None":
        """The line under the keyboard."""
        return self.table.current()

    def choose_record(self, record_id: str) -> bool:
        """Choose the first line of a batch, an expected pick or a market day, if there is one."""
        row = self.model.first(
            lambda line: record_id in (line.batch_id, line.expected_pick_id, line.market_day_id)
        )
        return self.table.choose(row)

    # Pins

    def _why_not(self, line: "PlannedItinerary | None") -> str:
        """Why a line can be neither pinned nor unpinned; empty if it can."""
        if self._session.season.read_only_because:
            return self._session.season.read_only_because
        if line is None:
            return tr("Choose a line first.")
        return why_not_pinned(line, self._session.season.book)

    def pin_or_unpin(self) -> None:
        """Decide that a line's crates go this way, or leave them to the plan again."""
        line, session = self.current(), self._session
        why_not = self._why_not(line)
        if why_not or line is None:
            session.say(why_not)
            return
        season = session.season
        pin_id = line.pin_id
        if pin_id is not None:
            session.do("", actions.pins.unpin, pin_id)
            return
        pin = as_pin(line, season.book)
        session.do(
            tr("{crates}: every plan keeps to this now.").format(crates=crates_of(line, session)),
            actions.pins.pin,
            pin,
        )

    def _show_buttons(self) -> None:
        line = self.current()
        why_not = self._why_not(line)
        pinned = line is not None and line.pin_id is not None
        self.pin_button.setText(tr("Take pi&n off") if pinned else tr("Pi&n"))
        self.pin_button.setEnabled(not why_not)
        set_hint(
            self.pin_button,
            why_not
            or (
                tr("Leave these crates to the plan again (P)")
                if pinned
                else tr("Keep these crates to this line, even where another would be better (P)")
            ),
        )
        some = bool(self.model.rows)
        self.copy_button.setEnabled(some)
        self.export_button.setEnabled(some)

    # Out

    def table_text(self) -> str:
        """Headings and chosen lines (or all), as spreadsheets take them; none is a formula."""
        from ripenroom.exchange.table_writing import plain_cell

        chosen = self.table.chosen()
        rows, columns = chosen if len(chosen) > 1 else self.model.rows, self.model.columns
        heads = [column.heading for column in columns]
        cells = [[str(plain_cell(_one_line(one.text(line)))) for one in columns] for line in rows]
        return "\n".join("\t".join(row) for row in [heads, *cells])

    def copy(self) -> None:
        """Put the table into the clipboard."""
        text = self.table_text()
        QGuiApplication.clipboard().setText(text)
        count = text.count("\n")
        self._session.say(tr_n("{n} line copied.", "{n} lines copied.", count))

    def _ask_export(self) -> None:
        name, _ = QFileDialog.getSaveFileName(
            self,
            tr("Save the plan as"),
            proposed(self._session.season.path.parent, tr("plan"), ".csv"),
            tr("Tables (*.csv)"),
        )
        if name:
            self.export(Path(name))

    def export(self, path: Path) -> None:
        """Write the whole plan, but for what is gone since, as a CSV file for computers."""
        made = self._session.plans.plan
        if made is None:
            return
        plan = replace(made, lines=tuple(self.model.given))
        # Tables are rarely written, and pandas takes long to import.
        from ripenroom.exchange.plan_tables import plan_table
        from ripenroom.exchange.table_writing import write_csv

        path = path if path.suffix else with_ending(path, ".csv")
        try:
            write_csv(plan_table(self._session.season, plan), path)
        except OSError as error:
            self._session.say(
                tr("{file} could not be written: {reason}.").format(
                    file=path, reason=error.strerror or error
                )
            )
        else:
            self._session.say(tr("Saved in {file}").format(file=path))


def _one_line(text: str) -> str:
    return text.replace("\n", ", ").replace("\t", " ").replace("\N{NO-BREAK SPACE}", " ")

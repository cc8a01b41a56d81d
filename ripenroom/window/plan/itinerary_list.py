"""Every crate of the plan in a table that sorts, with pins, copying and export."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSortFilterProxyModel, Qt
from PySide6.QtGui import QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFileDialog,
    QHeaderView,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from ripenroom.private_file import with_ending
from ripenroom.season import actions
from ripenroom.season.plans.decisions import as_pin
from ripenroom.texts import tr, tr_n
from ripenroom.window.dialogs import proposed
from ripenroom.window.plain import set_hint
from ripenroom.window.plan.itinerary_table import SORT_ROLE, Column, LineTable
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel
from ripenroom.wording.plan.itineraries import crates_of
from ripenroom.wording.plan.pins import why_not_pinned

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


_AIR_PX = 8
"""Pixels that part the texts of rows with several lines."""


class LinesView(QWidget):
    """The table with its buttons; P pins a line or takes its pin off, Ctrl+C copies."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.model = LineTable(session, self)
        self.sorted = QSortFilterProxyModel(self)
        self.sorted.setSourceModel(self.model)
        self.sorted.setSortRole(SORT_ROLE)
        self.table = QTableView(self)
        self.table.setModel(self.sorted)
        self.table.setAccessibleName(tr("Lines of the plan"))
        self.table.setSortingEnabled(True)
        self.table.sortByColumn(Column.MARKET, Qt.SortOrder.AscendingOrder)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setAlternatingRowColors(True)
        self.table.setTabKeyNavigation(False)
        self.table.setWordWrap(False)
        self.table.setShowGrid(False)
        self.table.verticalHeader().hide()
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.nothing = WrappedLabel(tr("The plan has no lines."), self)
        self.pin_button = QPushButton(tr("&Pin"), self)
        self.copy_button = QPushButton(tr("&Copy"), self)
        set_hint(
            self.copy_button,
            tr("Copy the chosen lines, or all of them, for a spreadsheet (Ctrl+C)"),
        )
        self.export_button = QPushButton(tr("Save as CS&V…"), self)
        self.pin_button.clicked.connect(self.pin_or_unpin)
        self.copy_button.clicked.connect(self.copy)
        self.export_button.clicked.connect(self._ask_export)
        for keys, does in (("P", self.pin_or_unpin), (QKeySequence.StandardKey.Copy, self.copy)):
            shortcut = QShortcut(QKeySequence(keys), self.table)
            shortcut.setContext(Qt.ShortcutContext.WidgetShortcut)
            shortcut.activated.connect(does)
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
        kept = self.current()
        self.model.refresh()
        self._fit_rows()
        self.table.setVisible(bool(self.model.lines))
        self.nothing.setVisible(not self.model.lines)
        if kept is not None:
            self._choose(kept)
        self._show_buttons()

    def _fit_rows(self) -> None:
        """Make rows as high as their texts; those with as many moves are measured only once.

        To have Qt measure every cell holds the window up for seconds where there are thousands.
        """
        header = self.table.verticalHeader()
        rows_with: dict[int, list[int]] = {}
        for row in range(self.sorted.rowCount()):
            index = self.sorted.mapToSource(self.sorted.index(row, Column.PULL))
            moves = max(1, len(self.model.lines[index.row()].steps))
            rows_with.setdefault(moves, []).append(row)
        for number, moves in enumerate(sorted(rows_with)):
            first = rows_with[moves][0]
            self.table.resizeRowToContents(first)
            if number == 0:
                header.setDefaultSectionSize(header.sectionSize(first))
                continue
            high = header.sectionSize(first) + _AIR_PX
            for row in rows_with[moves]:
                header.resizeSection(row, high)

    def current(self) -> "PlannedItinerary | None":
        """The line under the keyboard."""
        index = self.sorted.mapToSource(self.table.currentIndex())
        return self.model.lines[index.row()] if 0 <= index.row() < len(self.model.lines) else None

    def _choose(self, like: "PlannedItinerary") -> None:
        def same(line: "PlannedItinerary") -> bool:
            mine, its = (
                (x.batch_id, x.expected_pick_id, x.market_day_id, x.to_place_id)
                for x in (line, like)
            )
            return mine == its

        row = next((n for n, line in enumerate(self.model.lines) if same(line)), None)
        if row is not None:
            self._go_to(row)

    def choose_record(self, record_id: str) -> bool:
        """Choose the first line of a batch, an expected pick or a market day, if there is one."""
        for row, line in enumerate(self.model.lines):
            if record_id in (line.batch_id, line.expected_pick_id, line.market_day_id):
                self._go_to(row)
                return True
        return False

    def _go_to(self, row: int) -> None:
        self.table.setCurrentIndex(self.sorted.mapFromSource(self.model.index(row, Column.BATCH)))

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
        self.pin_button.setText(tr("Take &pin off") if pinned else tr("&Pin"))
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
        some = bool(self.model.lines)
        self.copy_button.setEnabled(some)
        self.export_button.setEnabled(some)

    # Out

    def table_text(self) -> str:
        """Headings and chosen lines (or all), as spreadsheets take them; none is a formula."""
        from ripenroom.exchange.table_files import plain_cell

        chosen = sorted(index.row() for index in self.table.selectionModel().selectedRows())
        rows = chosen if len(chosen) > 1 else range(self.sorted.rowCount())
        heads = [str(self.model.headerData(column, Qt.Orientation.Horizontal)) for column in Column]
        lines = [self.model.lines[self.sorted.mapToSource(self.sorted.index(row, 0)).row()]
                 for row in rows]  # fmt: skip
        cells = [
            [str(plain_cell(_one_line(self.model.text(line, column)))) for column in Column]
            for line in lines
        ]
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
        plan = replace(made, lines=tuple(self.model.lines))
        # Tables are rarely written, and pandas takes long to import.
        from ripenroom.exchange.plan_tables import plan_table
        from ripenroom.exchange.table_files import write_csv

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
    return text.replace("\n", ", ").replace("\t", " ")

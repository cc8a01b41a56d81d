"""The page "Rows": what is ready to pick, what comes before market day, what frost will take."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QDialog, QWidget

from ripenroom.season import actions
from ripenroom.season.orchard.orchard_types import OrchardForecast, RowFacts
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask
from ripenroom.window.forms.compare_seasons import CompareSeasonsDialog
from ripenroom.window.forms.frost import FrostDialog
from ripenroom.window.forms.tree_row import RowDialog
from ripenroom.window.forms.walk import WalkDialog, rows_to_walk
from ripenroom.window.forms.walk_sheet import WalkSheetDialog
from ripenroom.window.forms.weather import WeatherDialog
from ripenroom.window.page import Page
from ripenroom.window.plain import PlainLabel
from ripenroom.window.rows.table import forecast_of, tree_row_columns
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel, scrolling_column
from ripenroom.window.widgets.record_list import RecordList
from ripenroom.window.widgets.table import Table
from ripenroom.window.widgets.table_view import TableView, keyed_button
from ripenroom.wording.names import by_name, feel_names
from ripenroom.wording.rows import (
    feel_words,
    first_to_walk,
    frost_words,
    next_to_walk,
    row_words,
)

_MOST_NAMED = 5
_LEAST_LINES = 12
_LINES_BELOW = 14
_BESIDE_LETTERS = 140
"""From this width on, the selected row stands beside the table."""
_AIR_PX = 4
"""Pixels that part the rows."""


class RowsPage(Page):
    """A table of the rows; below or beside it the selected row, and its walks to be corrected.

    Each button's key works on the table. A walk is no pick: nothing leaves the tree by it.
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._forecast: OrchardForecast | None = None
        self.model = Table(
            tree_row_columns(session, lambda: self._forecast), self, id_of=lambda line: line.row.id
        )
        self.view = TableView(tr("Rows of trees"), self.model, self)
        self.view.horizontalHeader().setMinimumSectionSize(40)
        self.view.setWordWrap(False)
        self.view.setAlternatingRowColors(True)
        self.view.widthChanged.connect(self._fit_columns)
        self.walk_button = keyed_button(tr("&Walk…"), tr("W"), self)
        self.walk_button.setProperty("leading", True)
        self.sheet_button = keyed_button(tr("&Type sheet…"), tr("T"), self)
        self.print_button = keyed_button(tr("Pr&int sheet…"), tr("P"), self)
        self.add_button = keyed_button(tr("Add r&ow…"), tr("Insert"), self)
        self.change_button = keyed_button(tr("E&dit row…"), tr("Enter"), self)
        self.weather_button = keyed_button(tr("We&ather…"), tr("E"), self)
        self.seasons_button = keyed_button(tr("&Seasons…"), tr("A"), self)
        self.frost_button = keyed_button(tr("F&rost…"), tr("F"), self)
        for key, does in (
            (Qt.Key.Key_W, self.walk),
            (Qt.Key.Key_T, self.type_sheet),
            (Qt.Key.Key_P, self.print_sheet),
            (Qt.Key.Key_Insert, self.add),
            (Qt.Key.Key_E, self.weather_button.click),
            (Qt.Key.Key_F, self.change_frost),
            (Qt.Key.Key_A, self.compare),
        ):
            self.view.act_on(key, does=does)
        self.view.open_with(self.change)
        self.advice = WrappedLabel(parent=self)
        self.advice.setAccessibleName(tr("What to do in the rows today"))
        self.frost = WrappedLabel(parent=self)
        self.frost.setAccessibleName(tr("First frost"))
        self.nothing = PlainLabel(
            tr(
                "No rows yet. Add one with its cultivar, its trees and about how much fruit they "
                "carry. After a squeeze walk, this page says what to pick by each market day."
            ),
            self,
        )
        self.nothing.setWordWrap(True)
        self.about = WrappedLabel(parent=self)
        self.about.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.walks = RecordList(tr("Walks of this row"), tr("No walk of this row yet."), self)
        self._lay_out()
        self._connect()
        self.view.setFocus()

    def _lay_out(self) -> None:
        # What is felt, which trees they are, and what the sky does.
        buttons = FlowLayout(spacing=6)
        for button in (self.walk_button, self.sheet_button, self.print_button):
            buttons.addWidget(button)
        buttons.addWidget(self._apart())
        for button in (self.add_button, self.change_button, self.seasons_button):
            buttons.addWidget(button)
        buttons.addWidget(self._apart())
        for button in (self.weather_button, self.frost_button):
            buttons.addWidget(button)
        self._chosen_row = QWidget(self)
        self._about_and_walks = QBoxLayout(QBoxLayout.Direction.LeftToRight, self._chosen_row)
        self._about_and_walks.setContentsMargins(0, 0, 0, 0)
        self._about_and_walks.setSpacing(20)
        self._about_and_walks.addWidget(self.about, 1)
        self._about_and_walks.addWidget(self.walks, 1)
        self._table_and_row = QBoxLayout(QBoxLayout.Direction.TopToBottom)
        self._table_and_row.setSpacing(8)
        self._table_and_row.addWidget(self.view)
        self._table_and_row.addWidget(self._chosen_row)
        layout = scrolling_column(self, self.view, _LEAST_LINES)
        layout.setContentsMargins(20, 4, 20, 12)
        layout.setSpacing(8)
        layout.addLayout(buttons)
        layout.addWidget(self.nothing)
        layout.addWidget(self.advice)
        layout.addWidget(self.frost)
        layout.addLayout(self._table_and_row, 1)
        layout.addStretch()  # while there is no row, what to do stands on top

    def _apart(self) -> QWidget:
        """A gap between groups of buttons."""
        gap = QWidget(self)
        gap.setFixedSize(4, 1)
        return gap

    def _connect(self) -> None:
        session = self.session
        self.walk_button.clicked.connect(self.walk)
        self.sheet_button.clicked.connect(self.type_sheet)
        self.print_button.clicked.connect(self.print_sheet)
        self.add_button.clicked.connect(self.add)
        self.change_button.clicked.connect(self.change)
        self.weather_button.clicked.connect(lambda: ask(WeatherDialog(session, self)))
        self.frost_button.clicked.connect(self.change_frost)
        self.seasons_button.clicked.connect(self.compare)
        self.view.selectionModel().currentRowChanged.connect(self._show_chosen)
        self.walks.addAsked.connect(self.walk)
        self.walks.editAsked.connect(lambda key: ask(WalkDialog(session, None, key, self)))
        self.walks.deleteAsked.connect(self._delete_walk)

    @property
    def title(self) -> str:
        """The page's name as the user reads it."""
        return tr("Rows")

    def touched_by(self, changed: Changed) -> bool:
        """Rows, walks, weather, picks and what became of them; market days say by when."""
        return changed.records or changed.clock

    def refresh(self) -> None:
        """Show the rows as they are now."""
        ask = self.session.season.ask
        self._forecast = ask.orchard()
        self.model.show_rows(sorted(ask.row_facts(), key=lambda line: by_name(line.row.name)))
        has_rows = bool(self.model.rows)
        for widget in (self.view, self._chosen_row):
            widget.setVisible(has_rows)
        self.nothing.setVisible(not has_rows)
        self._show_advice(self._forecast)
        self._fit_columns()
        self._show_chosen()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where the window is wide, the selected row stands beside the table, not beneath it."""
        super().resizeEvent(event)
        letter, way = self.fontMetrics().horizontalAdvance("n"), QBoxLayout.Direction
        beside = self.width() >= _BESIDE_LETTERS * letter
        self._table_and_row.setDirection(way.LeftToRight if beside else way.TopToBottom)
        self._table_and_row.setSpacing(24 if beside else 8)
        for n, stretch in enumerate((2, 1) if beside else (5, 3)):
            self._table_and_row.setStretch(n, stretch)
        self._about_and_walks.setDirection(way.TopToBottom if beside else way.LeftToRight)
        self._about_and_walks.setStretch(0, 0 if beside else 1)
        # Beside the table it is as high as it needs to be, so that its buttons stay at its walks.
        top = Qt.AlignmentFlag.AlignTop if beside else Qt.AlignmentFlag(0)
        self._table_and_row.setAlignment(self._chosen_row, top)
        most_px = self.maximumHeight() if beside else _LINES_BELOW * self.fontMetrics().height()
        self._chosen_row.setMaximumHeight(most_px)

    def _fit_columns(self) -> None:
        self.view.fit_columns()
        # Rows are as high as their texts, which no width breaks.
        self.view.resizeRowsToContents()
        header = self.view.verticalHeader()
        for row in range(len(self.model.rows)):
            header.resizeSection(row, header.sectionSize(row) + _AIR_PX)

    def _show_advice(self, forecast: OrchardForecast | None) -> None:
        said, book = "", self.session.season.book
        due = first_to_walk(forecast, self.session) if forecast else []
        names = [book.rows[row.row_id].name for row in due if row.row_id in book.rows]
        if len(names) == 1:
            said = tr("Walk {row} today.").format(row=names[0])
        elif len(names) > _MOST_NAMED:
            said = tr("Walk today, in this order: {rows} and {n} more.").format(
                rows=", ".join(names[:_MOST_NAMED]), n=len(names) - _MOST_NAMED
            )
        elif names:
            said = tr("Walk today, in this order: {rows}.").format(rows=", ".join(names))
        elif forecast and (following := next_to_walk(forecast, self.session)) is not None:
            row, on = following
            said = tr("No row is worth a walk today. Next: {row}, {day}.").format(
                row=book.rows[row.row_id].name, day=self.session.words.day(on)
            )
        self.advice.setText(said)
        self.advice.setVisible(bool(said))
        font = QFont(self.font())
        font.setBold(True)
        self.advice.setFont(font)
        frost = frost_words(forecast.frost if forecast else None, self.session)
        self.frost.setText(frost)
        self.frost.setVisible(bool(frost))

    def show_record(self, record_id: str) -> None:
        """Select a row of trees."""
        self.view.choose(self.model.row_of(record_id))

    def chosen(self) -> RowFacts | None:
        """The selected row of trees."""
        return self.view.current()

    def _show_chosen(self) -> None:
        line, session = self.chosen(), self.session
        writable = session.season.read_only_because is None
        for button in (self.walk_button, self.sheet_button, self.change_button):
            button.setEnabled(writable and line is not None)
        self.print_button.setEnabled(bool(self.model.rows))
        self.add_button.setEnabled(writable)
        self.frost_button.setEnabled(writable)
        self.walks.setEnabled(writable)
        if line is None:
            self.about.clear()
            self.walks.show_records([])
            return
        said = row_words(line, forecast_of(line, self._forecast), session)
        self.about.setText("\n".join([line.row.name, *said]))
        names = feel_names(session.season.crops.get(line.crop or ""))
        self.walks.show_records(
            [
                (
                    walk.id,
                    f"{session.words.day(walk.at)} · {feel_words(walk, names, session.words)}",
                )
                for walk in reversed(line.walks)
            ]
        )

    # What the buttons do

    def walk(self) -> None:
        """Ask what is felt in the selected row."""
        line = self.chosen()
        if line is not None and self.walk_button.isEnabled():
            self._open(WalkDialog(self.session, line.row.id, None, self))

    def type_sheet(self) -> None:
        """Show the walk sheet to be typed in."""
        if self.sheet_button.isEnabled():
            self._open(WalkSheetDialog(self.session, self))

    def print_sheet(self) -> None:
        """Show the walk sheet that is filled in by pencil."""
        if not self.print_button.isEnabled():
            return
        from ripenroom.window.paper.output import PaperDialog, print_rich_text
        from ripenroom.window.paper.walk_sheet import walk_sheet_html

        html, font = walk_sheet_html(self.session, rows_to_walk(self.session)), self.font()
        name = tr("walk sheet {day}").format(day=f"{self.session.season.now():%Y-%m-%d}")
        self._open(
            PaperDialog(
                self.session,
                tr("Walk sheet"),
                name,
                lambda device: print_rich_text(device, html, font),
                self,
            )
        )

    def add(self) -> None:
        """Ask for a new row."""
        if self.add_button.isEnabled():
            self._open(RowDialog(self.session, None, self))

    def change(self) -> None:
        """Show the selected row's form."""
        line = self.chosen()
        if line is not None and self.change_button.isEnabled():
            self._open(RowDialog(self.session, line.row.id, self))

    def change_frost(self) -> None:
        """Ask when the first frost comes."""
        if self.frost_button.isEnabled():
            self._open(FrostDialog(self.session, self))

    def compare(self) -> None:
        """Lay other seasons beside this one."""
        self._open(CompareSeasonsDialog(self.session, self))

    def _delete_walk(self, walk_id: str) -> None:
        done = tr("Walk deleted. Ctrl+Z brings it back.")
        self.session.do(done, actions.orchard.delete_walk, walk_id)

    def _open(self, dialog: QDialog) -> None:
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

"""The page "Market days"."""

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QPalette, QResizeEvent
from PySide6.QtWidgets import (
    QDialog,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.market import MarketDay
from ripenroom.season import actions
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.forms.market_day import MarketDayDialog
from ripenroom.window.forms.pack import PackDialog
from ripenroom.window.forms.second_grade import SecondGradeDialog
from ripenroom.window.forms.settle_market import SettleDialog, can_be_settled
from ripenroom.window.market_days.table import Column, DaysDelegate, market_columns
from ripenroom.window.market_days.wants_cell import WantsDelegate
from ripenroom.window.page import Page
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.plan_status import plan_state_words
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel
from ripenroom.window.widgets.table import Table
from ripenroom.window.widgets.table_view import TableView, keyed_button
from ripenroom.wording.formats import in_percent
from ripenroom.wording.market_days import MarketDayOutlook, market_lines

_FOLD_EMS = 80
"""In a page narrower than this many letters the place of a market day has no column of its own."""


class MarketDaysPage(Page):
    """The list of market days; each button's key works on the list."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._folded = False
        self.model = Table(
            market_columns(session, lambda: self._folded), self, id_of=lambda line: line.day.id
        )
        self.view = TableView(tr("Market days"), self.model, self)
        self.view.follow_texts()
        self.view.horizontalHeader().setStretchLastSection(True)
        self.add_button = keyed_button(tr("&Add…"), tr("Insert"), self)
        self.add_button.setProperty("leading", True)
        self.change_button = keyed_button(tr("E&dit…"), tr("Enter"), self)
        self.delete_button = keyed_button(tr("De&lete"), tr("Delete"), self)
        self.pack_button = keyed_button(tr("S&queeze and pack…"), tr("K"), self)
        self.packing_button = keyed_button(tr("Pac&king list…"), tr("P"), self)
        self.settle_button = keyed_button(tr("After the &market…"), tr("A"), self)
        self.grade_button = keyed_button(tr("Second &grade…"), tr("G"), self)
        for key, does in (
            (Qt.Key.Key_Insert, self.add),
            (Qt.Key.Key_Delete, self.delete),
            (Qt.Key.Key_K, self.pack),
            (Qt.Key.Key_P, self.print_packing_list),
            (Qt.Key.Key_A, self.settle),
            (Qt.Key.Key_G, self.change_second_grade),
        ):
            self.view.act_on(key, does=does)
        self.view.open_with(self.change)
        self.nothing = PlainLabel(
            tr(
                "No market day yet. Add the next one with what it wants, and the shelf queue "
                "shows what will be good to sell. A weekly market can be added for all weeks at "
                "once."
            ),
            self,
        )
        self.nothing.setWordWrap(True)
        self.key = PlainLabel(
            tr(
                "Bars: solid will be good to sell, light may be; thin mark: best estimate; tall "
                "mark: wanted. Good: ready then, or within the days in which these buyers eat it. "
                "Risk: the chance that less than {share} of what is wanted is good to sell."
            ).format(share=in_percent(80)),
            self,
        )
        self.key.setWordWrap(True)
        self.key.setForegroundRole(QPalette.ColorRole.PlaceholderText)
        self.plan_state = WrappedLabel(parent=self)
        self.plan_state.setAccessibleName(tr("The plan"))
        buttons = FlowLayout()
        for button in (
            self.add_button,
            self.change_button,
            self.delete_button,
            self.pack_button,
            self.packing_button,
            self.settle_button,
            self.grade_button,
        ):
            buttons.addWidget(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 4, 20, 12)
        layout.setSpacing(8)
        layout.addLayout(buttons)
        layout.addWidget(self.nothing)
        layout.addWidget(self.view, 1)
        # Below the list, and always there: no line of the list moves when it is said.
        layout.addWidget(self.plan_state)
        layout.addWidget(self.key)
        layout.addStretch()  # while there is no list, what to do stands on top
        self._wants = WantsDelegate(session, self.view)
        self.model.modelReset.connect(self._wants.forget_measures)
        self.view.setItemDelegate(DaysDelegate(self.view))
        self.view.setItemDelegateForColumn(Column.WANTS, self._wants)
        self.add_button.clicked.connect(self.add)
        self.change_button.clicked.connect(self.change)
        self.delete_button.clicked.connect(self.delete)
        self.pack_button.clicked.connect(self.pack)
        self.packing_button.clicked.connect(self.print_packing_list)
        self.settle_button.clicked.connect(self.settle)
        self.grade_button.clicked.connect(self.change_second_grade)
        session.plans.planned.connect(self.show_again)
        session.plans.working_changed.connect(self._show_plan_state)
        session.plans.working_changed.connect(self._enable)
        self.view.horizontalHeader().sectionResized.connect(self._on_column_resized)
        self.view.selectionModel().currentRowChanged.connect(self._enable)

    @property
    def title(self) -> str:
        """The page's name as the user reads it."""
        return tr("Market days")

    def touched_by(self, changed: Changed) -> bool:
        """Fruit that hangs is brought nowhere; the plan tells what it makes likely."""
        return changed.beyond_trees

    def refresh(self) -> None:
        """Show the market days as they are now."""
        self._fold()
        self.model.show_rows(market_lines(self.session))
        self.view.resizeRowsToContents()
        self.view.setVisible(bool(self.model.rows))
        self._explain_bars(self.view.columnWidth(Column.WANTS))
        self.nothing.setVisible(not self.model.rows)
        self._show_plan_state()
        self._enable()

    def begins_at(self) -> QWidget:
        """The list, on which every button's key works; what adds a first line while it is empty."""
        return self.view if self.model.rows else self.add_button

    def show_record(self, record_id: str) -> None:
        """Select a market day."""
        self.view.choose(self.model.row_of(record_id))

    def chosen(self) -> MarketDayOutlook | None:
        """The selected market day."""
        return self.view.current()

    def add(self) -> None:
        """Ask for a new market day."""
        if self._writable():
            MarketDayDialog(self.session, parent=self).open()

    def change(self) -> None:
        """Show the selected market day's form."""
        line = self.chosen()
        if line is not None and self._writable():
            MarketDayDialog(self.session, day=line.day, parent=self).open()

    def delete(self) -> None:
        """Delete the selected market day; undo brings it back."""
        line = self.chosen()
        if line is None or not self._writable():
            return
        done = tr("Deleted {name}, {day}. Ctrl+Z brings it back.").format(
            name=line.day.name, day=self.session.words.day(line.day.starts_at)
        )
        self.session.do(done, actions.ahead.delete_market_day, line.day.id)

    def print_packing_list(self) -> None:
        """Show what the plan brings to the selected market day, to be printed."""
        line = self.chosen()
        if line is None or self._why_no_packing_list():
            return
        from ripenroom.window.paper.output import PaperDialog, print_rich_text
        from ripenroom.window.paper.packing_list import list_html

        session, day, font = self.session, line.day, self.font()
        html = list_html(session, session.plans.plan, day.id)
        name = tr("packing list {day}").format(day=f"{session.words.local(day.starts_at):%Y-%m-%d}")
        self._open(
            PaperDialog(
                session,
                tr("Packing list: {name}").format(name=day.name),
                name,
                lambda device: print_rich_text(device, html, font),
                self,
            )
        )

    def pack(self) -> None:
        """Show what to take to the selected market day, and ask what was squeezed of it."""
        line = self.chosen()
        if line is not None and self._writable() and self._packable(line.day):
            self._open(PackDialog(self.session, line.day.id, self))

    def settle(self) -> None:
        """Ask what became of the selected market day, once it has begun."""
        line = self.chosen()
        if line is not None and self._writable() and can_be_settled(self.session, line.day):
            self._open(SettleDialog(self.session, line.day.id, self))

    def change_second_grade(self) -> None:
        """Ask what second-grade fruit brings."""
        if self._writable():
            self._open(SecondGradeDialog(self.session, self))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold day and place into one column where both would crowd what is wanted."""
        super().resizeEvent(event)
        self._fold()

    def _open(self, dialog: QDialog) -> None:
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the text size."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fold()
            # Only then has the list its larger letters too.
            QTimer.singleShot(0, self.view, self.view.resizeRowsToContents)

    def _fold(self) -> None:
        narrow = self.width() < _FOLD_EMS * self.fontMetrics().horizontalAdvance("n")
        if narrow != self._folded:
            self._folded = narrow
            self.model.say_again()
            self.view.setColumnHidden(Column.WHERE, narrow)
            self.view.resizeColumnToContents(Column.DAY)

    def _on_column_resized(self, column: int, _before: int, width: int) -> None:
        if column == Column.WANTS:
            self._explain_bars(width)
            # Only now does the header know the new width, on which the rows' heights depend.
            QTimer.singleShot(0, self.view, self.view.resizeRowsToContents)

    def _explain_bars(self, column_px: int) -> None:
        """Where there is no room for bars they are left out, and so is what explains them."""
        bars = self._wants.has_bars(self.model, self.view.font(), column_px)
        self.key.setVisible(bars and bool(self.model.rows))

    def _show_plan_state(self) -> None:
        said = plan_state_words(self.session) if self.model.rows else ""
        self.plan_state.setText(said)
        self.plan_state.setVisible(bool(self.model.rows))

    def _writable(self) -> bool:
        return self.session.season.read_only_because is None

    def _packable(self, day: MarketDay) -> bool:
        return actions.packing.can_be_packed(day, self.session.season.now())

    def _enable(self) -> None:
        writable, chosen = self._writable(), self.chosen() is not None
        self.add_button.setEnabled(writable)
        self.change_button.setEnabled(writable and chosen)
        self.delete_button.setEnabled(writable and chosen)
        self.grade_button.setEnabled(writable)
        line = self.chosen()
        begun = line is not None and can_be_settled(self.session, line.day)
        self.settle_button.setEnabled(writable and begun)
        set_hint(
            self.settle_button,
            tr("What was sold, thrown away and brought back. Key: A")
            if begun or line is None
            else tr("This market day is still to come: enter what was sold when it is over"),
        )

        packable = line is not None and self._packable(line.day)
        self.pack_button.setEnabled(writable and packable)
        set_hint(
            self.pack_button,
            tr("What to take, what to open next, and what was squeezed. Key: K")
            if packable or line is None
            else tr("This market day is over"),
        )
        why = self._why_no_packing_list()
        self.packing_button.setEnabled(not why)
        set_hint(
            self.packing_button,
            why or tr("Which crates to pack for the selected market day. Key: P"),
        )

    def _why_no_packing_list(self) -> str:
        """Why there is no packing list for the selected market day; empty if there is one."""
        line, plans = self.chosen(), self.session.plans
        if line is None:
            return tr("Choose a market day first")
        if can_be_settled(self.session, line.day):
            return tr("This market day has begun")
        if plans.working:
            return tr("The plan is being made")
        if plans.plan is None:
            return tr("There is no plan: F5 makes one")
        return ""

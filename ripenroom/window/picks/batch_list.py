"""The list of batches with what can be done to those selected."""

from dataclasses import dataclass
from operator import attrgetter

from PySide6.QtCore import QEvent, QSize, Qt, Signal, SignalInstance
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.texts import tr
from ripenroom.window.picks.batch_table import (
    MARK_SIZE,
    BatchRow,
    Column,
    batch_columns,
    batch_lines,
    holds,
)
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.style_sheet import be_tight, row_height
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.layouts import FlowLayout
from ripenroom.window.widgets.table import Table
from ripenroom.window.widgets.table_view import Choice, TableView

_MEASURED = 60
"""Measuring every row is slow in a big season; the first ones tell enough."""


class _BatchTable(TableView[BatchRow]):
    """Asks for no more than it must have: the form above it has the first right to the height."""

    def sizeHint(self) -> QSize:
        """One row, and what else is wide."""
        return QSize(super().sizeHint().width(), self.minimumHeight())


@dataclass(frozen=True, slots=True)
class _Task:
    """A button with what it is called and does; ``single`` for one batch alone."""

    button: QPushButton
    name: str
    hint: str
    single: bool


class BatchList(QWidget):
    """A sorted, filtered table; its buttons work on the selected batches, its keys as well."""

    openBatch = Signal(str)  # noqa: N815 - named as Qt names signals
    checkAsked = Signal(object)  # noqa: N815 - each of these carries the selected ids
    moveAsked = Signal(object)  # noqa: N815
    soldAsked = Signal(object)  # noqa: N815
    discardAsked = Signal(object)  # noqa: N815
    editAsked = Signal(object)  # noqa: N815
    labelsAsked = Signal(object)  # noqa: N815
    deleteAsked = Signal(object)  # noqa: N815
    selectionShown = Signal()  # noqa: N815 - other batches are selected, or these have changed

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.model = Table(batch_columns(), self, id_of=attrgetter("batch_id"))
        self.finder = TypedLine(8, tr("Find"), self)
        self.finder.setClearButtonEnabled(True)
        self.finder.setAccessibleName(tr("Find batches"))
        set_hint(self.finder, tr("Find batches by code, crop, cultivar, row, place …"))
        self.with_empty = QCheckBox(tr("Sold ou&t too"), self)
        self.model.filter_by(holds("", with_empty=False))
        self.table = _BatchTable(tr("Batches"), self.model, self, Choice.ROWS)
        self.table.start_sorted(Column.PICKED, Qt.SortOrder.DescendingOrder)
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.table.open_with(self._open_current)
        self.table.widthChanged.connect(self._fit_columns)
        self.empty = PlainLabel(parent=self)
        self.empty.setWordWrap(True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.empty.setContentsMargins(4, 12, 4, 12)
        self._tasks: list[_Task] = []
        # Where letters are large the buttons take two rows rather than a wider window.
        buttons = FlowLayout(spacing=4)
        self._add_button(buttons, tr("Chec&k…"), Qt.Key.Key_C, self.checkAsked, single=True)
        self._add_button(buttons, tr("&Move…"), Qt.Key.Key_M, self.moveAsked, single=False)
        self._add_button(buttons, tr("&Sold…"), Qt.Key.Key_S, self.soldAsked, single=True)
        self._add_button(buttons, tr("Discard…"), Qt.Key.Key_D, self.discardAsked, single=True)
        self._add_button(buttons, tr("Edit…"), Qt.Key.Key_E, self.editAsked, single=True)
        self.labels_button = self._add_button(
            buttons, tr("Labels…"), Qt.Key.Key_L, self.labelsAsked, single=False
        )
        self._add_button(buttons, tr("Delete"), Qt.Key.Key_Delete, self.deleteAsked, single=False)
        self._row = QWidget(self)
        bar = QHBoxLayout(self._row)
        bar.setContentsMargins(0, 0, 0, 0)
        bar.setSpacing(4)
        bar.addWidget(self.finder, 1, Qt.AlignmentFlag.AlignTop)
        bar.addWidget(self.with_empty, 0, Qt.AlignmentFlag.AlignTop)
        bar.addLayout(buttons)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self._row)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.empty, 1)
        self.table.selectionModel().selectionChanged.connect(self._show_buttons)
        self.model.modelReset.connect(self._show_buttons)
        self.finder.textChanged.connect(self._filter)
        self.with_empty.toggled.connect(self._filter)
        find = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        find.activated.connect(self.finder.setFocus)
        for way in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            into = QShortcut(QKeySequence(way), self.finder)
            into.setContext(Qt.ShortcutContext.WidgetShortcut)
            into.activated.connect(self.go_into)
        self._size_lines()
        self._show_buttons()

    def _size_lines(self) -> None:
        high = row_height(self.font())
        self.table.verticalHeader().setDefaultSectionSize(high)
        self.table.setMinimumHeight(2 * high)  # the headings and one line
        text_px = self.fontMetrics().height()
        self.table.setIconSize(
            MARK_SIZE.scaled(10 * text_px, text_px * 3 // 4, Qt.AspectRatioMode.KeepAspectRatio)
        )

    def be_tight(self, tight: bool) -> None:
        """Let the buttons take one row where height is scarce and letters are large."""
        be_tight(self._row, tight)

    def changeEvent(self, event: QEvent) -> None:
        """Higher lines for larger text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._size_lines()
            self._fit_columns()

    def _add_button(
        self, bar: FlowLayout, text: str, key: Qt.Key, asked: SignalInstance, *, single: bool
    ) -> QPushButton:
        button = QPushButton(text, self)
        shown = QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText)
        name = text.replace("&", "").rstrip("…")
        task = _Task(
            button, name, tr("{action} ({key} in the list)").format(action=name, key=shown), single
        )

        def ask() -> None:
            why_not = self._why_not(task)
            if why_not:
                self.session.say(why_not)
            else:
                asked.emit(self.selected())

        button.clicked.connect(ask)
        self.table.act_on(key, does=ask)
        self._tasks.append(task)
        bar.addWidget(button)
        return button

    def _why_not(self, task: "_Task") -> str:
        """Why something cannot be done with what is selected; empty if it can."""
        read_only = self.session.season.read_only_because
        if read_only is not None and task.button is not self.labels_button:  # changes nothing
            return read_only
        many = len(self.table.selectionModel().selectedRows())
        if many == 0:
            return tr("Select a batch in the list first.")
        if task.single and many > 1:
            return tr(
                "{action} takes one batch at a time, and {n} are selected: click on one of them."
            ).format(action=task.name, n=many)
        return ""

    def go_into(self) -> None:
        """Take the keyboard from the line to find by into the list, to what is selected there."""
        if self.model.rowCount() == 0:
            return
        if not self.selected():
            self.table.selectRow(0)
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def refresh(self) -> None:
        """Show the batches as they are now; the selection stays where it was."""
        self.model.show_rows(batch_lines(self.session))
        self._fit_columns()
        self._show_empty()

    def selected(self) -> list[str]:
        """Ids of the selected batches, from top to bottom."""
        return [row.batch_id for row in self.table.chosen()]

    def select(self, batch_ids: list[str]) -> None:
        """Select these batches, dropping a filter that hides them."""
        if any(self.model.row_of(batch_id) is None for batch_id in batch_ids):
            self.finder.clear()
            self.with_empty.setChecked(True)
        self.table.choose_ids([*batch_ids], batch_ids[0] if batch_ids else None)
        self._show_buttons()

    def _open_current(self) -> None:
        current = self.table.current()
        if current is not None:
            self.openBatch.emit(current.batch_id)

    def _filter(self) -> None:
        self.model.filter_by(holds(self.finder.text(), self.with_empty.isChecked()))
        self._show_empty()

    def _fit_columns(self) -> None:
        self.table.fit_columns(measured=_MEASURED)

    def _show_empty(self) -> None:
        nothing = self.model.rowCount() == 0
        if not self.session.season.book.places:
            self.empty.setText(
                tr(
                    "No picks yet, and nowhere to put them: first add a place where fruit waits, "
                    "on the page Places."
                )
            )
        elif not self.model.given:
            self.empty.setText(
                tr(
                    "No picks yet. Fill in the line above: how many fruit feel hard, give "
                    "slightly, give, are soft – such as 3 9 6 2 – and press Enter."
                )
            )
        else:
            self.empty.setText(
                tr("No batch matches. Change what you typed under Find, or tick “Sold out too”.")
            )
        self.table.setVisible(not nothing)
        self.empty.setVisible(nothing)

    def _show_buttons(self) -> None:
        for task in self._tasks:
            why_not = self._why_not(task)
            task.button.setEnabled(not why_not)
            set_hint(task.button, why_not or task.hint)
        self.selectionShown.emit()

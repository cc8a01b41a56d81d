"""The list of batches with what can be done to those selected."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QItemSelectionModel, QSize, Qt, Signal, SignalInstance
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCheckBox,
    QHBoxLayout,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from ripenroom.texts import tr
from ripenroom.window.picks.batch_rows import Column, batch_lines
from ripenroom.window.picks.batch_table import MARK_SIZE, BatchModel
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.style_sheet import row_height
from ripenroom.window.widgets.column_widths import ColumnWidths
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.layouts import FlowLayout

_LETTERS_AT_LEAST = {Column.CROP: 14, Column.PLACE: 11, Column.ROW: 11, Column.FEEL: 10}
"""Columns that give way where the window is narrow, and the letters that they keep."""
_HIDDEN_FIRST = (Column.PICKED, Column.FEEL, Column.ROW, Column.PLACE)
"""Columns that are left out where even that is not enough: a batch's code says when it was picked.
"""
_MAY_BE_UNUSED = (Column.FEEL, Column.ROW)
"""Columns that many a grower never fills, and that take no room from the others then."""


class _Table(QTableView):
    """Asks for no more height than it must have: the form above it has the first right to it."""

    def sizeHint(self) -> QSize:
        return QSize(super().sizeHint().width(), self.minimumHeight())


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

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.model = BatchModel(self)
        self.finder = TypedLine(8, tr("Find: code, crop, row, place …"), self)
        self.finder.setClearButtonEnabled(True)
        self.finder.setAccessibleName(tr("Find batches"))
        self.with_empty = QCheckBox(tr("Also &those sold out"), self)
        self.table = self._table()
        self._columns = ColumnWidths(
            self.table,
            _LETTERS_AT_LEAST,
            _HIDDEN_FIRST,
            unused=lambda: [c for c in _MAY_BE_UNUSED if not self.model.says_anything_in(c)],
            # The crop behind a cultivar's name is what is missed least.
            gives_first=Column.CROP,
        )
        self.empty = PlainLabel(parent=self)
        self.empty.setWordWrap(True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.empty.setContentsMargins(4, 12, 4, 12)
        self._buttons: list[tuple[QPushButton, bool]] = []
        # Where letters are large the buttons take two rows rather than a wider window.
        deeds = FlowLayout(spacing=5)
        self._add_button(deeds, tr("Chec&k…"), "C", self.checkAsked, single=True)
        self._add_button(deeds, tr("&Move…"), "M", self.moveAsked, single=False)
        self._add_button(deeds, tr("&Sold…"), "S", self.soldAsked, single=True)
        self._add_button(deeds, tr("Discard…"), "D", self.discardAsked, single=True)
        self._add_button(deeds, tr("Edit…"), "E", self.editAsked, single=True)
        self.labels_button = self._add_button(
            deeds, tr("Labels…"), "L", self.labelsAsked, single=False
        )
        self._add_button(deeds, tr("Delete"), "Del", self.deleteAsked, single=False)
        bar = QHBoxLayout()
        bar.setSpacing(6)
        bar.addWidget(self.finder, 1, Qt.AlignmentFlag.AlignTop)
        bar.addWidget(self.with_empty, 0, Qt.AlignmentFlag.AlignTop)
        bar.addSpacing(4)
        bar.addLayout(deeds)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addLayout(bar)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.empty, 1)
        self._kept: tuple[list[str], str | None] = ([], None)
        # A model that is set anew, also to be sorted, forgets what was selected, silently.
        self.model.modelAboutToBeReset.connect(self._keep_selection)
        self.model.modelReset.connect(lambda: self._reselect(*self._kept))
        self.finder.textChanged.connect(self._filter)
        self.with_empty.toggled.connect(self._filter)
        find = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        find.activated.connect(self.finder.setFocus)
        for way in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._key(self.finder, QKeySequence(way), self.go_into)
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

    def changeEvent(self, event: QEvent) -> None:
        """Higher lines for larger text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._size_lines()
            self._columns.fit()

    def _table(self) -> _Table:
        table = _Table(self)
        table.setModel(self.model)
        table.setAccessibleName(tr("Batches"))
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setTabKeyNavigation(False)
        table.setShowGrid(False)
        table.setWordWrap(False)
        table.verticalHeader().hide()
        header = table.horizontalHeader()
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setSortIndicator(Column.PICKED, Qt.SortOrder.DescendingOrder)
        table.setSortingEnabled(True)
        table.doubleClicked.connect(
            lambda index: self.openBatch.emit(self.model.batch_id(index.row()))
        )
        for key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._key(table, QKeySequence(key), self._open_current)
        selection = table.selectionModel()
        selection.selectionChanged.connect(self._show_buttons)
        return table

    def _add_button(
        self, bar: FlowLayout, text: str, key: str, asked: SignalInstance, *, single: bool
    ) -> QPushButton:
        button = QPushButton(text, self)
        shown = QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText)
        set_hint(
            button,
            tr("{action} ({key} in the list)").format(
                action=text.replace("&", "").rstrip("…"), key=shown
            ),
        )

        def ask() -> None:
            if button.isEnabled():
                asked.emit(self.selected())

        button.clicked.connect(ask)
        self._key(self.table, QKeySequence(key), ask)
        self._buttons.append((button, single))
        bar.addWidget(button)
        return button

    def _key(self, where: QWidget, keys: QKeySequence, does: Callable[[], None]) -> None:
        shortcut = QShortcut(keys, where)
        shortcut.setContext(Qt.ShortcutContext.WidgetShortcut)
        shortcut.activated.connect(does)

    def go_into(self) -> None:
        """Take the keyboard from the line to find by into the list, to what is selected there."""
        if self.model.rowCount() == 0:
            return
        if not self.selected():
            self.table.selectRow(0)
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def refresh(self) -> None:
        """Show the batches as they are now; the selection stays where it was."""
        self.model.set_lines(batch_lines(self.session))
        self._columns.fit()
        self._show_empty()

    def selected(self) -> list[str]:
        """Ids of the selected batches, from top to bottom."""
        rows = sorted(index.row() for index in self.table.selectionModel().selectedRows())
        return [self.model.batch_id(row) for row in rows]

    def select(self, batch_ids: list[str]) -> None:
        """Select these batches, dropping a filter that hides them."""
        if any(self.model.row_of(batch_id) is None for batch_id in batch_ids):
            self.finder.clear()
            self.with_empty.setChecked(True)
        self._reselect(batch_ids, batch_ids[0] if batch_ids else None)

    def _reselect(self, batch_ids: list[str], current: str | None) -> None:
        selection = self.table.selectionModel()
        selection.clear()
        how = QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows
        for batch_id in batch_ids:
            row = self.model.row_of(batch_id)
            if row is not None:
                selection.select(self.model.index(row, 0), how)
        row = self.model.row_of(current) if current else None
        if row is not None:
            index = self.model.index(row, 0)
            selection.setCurrentIndex(index, QItemSelectionModel.SelectionFlag.NoUpdate)
            self.table.scrollTo(index)
        self._show_buttons()

    def _keep_selection(self) -> None:
        self._kept = (self.selected(), self._current())

    def _current(self) -> str | None:
        index = self.table.currentIndex()
        return self.model.batch_id(index.row()) if index.isValid() else None

    def _open_current(self) -> None:
        current = self._current()
        if current is not None:
            self.openBatch.emit(current)

    def _filter(self) -> None:
        self.model.set_filter(self.finder.text(), self.with_empty.isChecked())
        self._show_empty()

    def _show_empty(self) -> None:
        nothing = self.model.rowCount() == 0
        if not self.session.season.book.places:
            self.empty.setText(
                tr(
                    "No picks yet, and nowhere to put them: first add a place where fruit waits, "
                    "on the page Places."
                )
            )
        elif self.model.known == 0:
            self.empty.setText(
                tr(
                    "No picks yet. Fill in the line above: how many fruit feel hard, give "
                    "slightly, give, are soft – such as 3 9 6 2 – and press Enter."
                )
            )
        else:
            self.empty.setText(
                tr(
                    "No batch matches. Change what you typed under Find, or tick “Also those sold "
                    "out”."
                )
            )
        self.table.setVisible(not nothing)
        self.empty.setVisible(nothing)

    def _show_buttons(self) -> None:
        many = len(self.table.selectionModel().selectedRows())
        writable = self.session.season.read_only_because is None
        for button, single in self._buttons:
            may = writable or button is self.labels_button  # which changes nothing
            button.setEnabled(may and (many == 1 if single else many > 0))

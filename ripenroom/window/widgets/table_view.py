"""How every table of the window is used: its keys, what is chosen, its columns' widths."""

from collections.abc import Callable, Hashable
from enum import Enum, auto
from itertools import groupby
from typing import Generic

from PySide6.QtCore import QEvent, QItemSelection, QItemSelectionModel, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QPushButton, QTableView, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import set_hint
from ripenroom.window.widgets.column_widths import shared_out
from ripenroom.window.widgets.table import Row, Table
from ripenroom.window.widgets.table_cells import ShortWhereNarrow, least_whole_px, lines_px

Keys = Qt.Key | QKeySequence.StandardKey

_VIEW, _HOW = QAbstractItemView, QItemSelectionModel.SelectionFlag
_COMMAND_KEYS = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.AltModifier
    | Qt.KeyboardModifier.MetaModifier
)


class Choice(Enum):
    """What is chosen in a table: one whole row, whole rows, or a cell."""

    ROW = auto()
    ROWS = auto()
    CELL = auto()


class TableView(QTableView, Generic[Row]):
    """What was chosen stays so when the rows are shown again or sorted, and stays in sight.

    Where one row is chosen, and it is gone, the row that is in its place now is chosen; where
    several can be, none is.
    """

    widthChanged = Signal()  # noqa: N815 - named as Qt names signals

    def __init__(
        self, name: str, table: Table[Row], parent: QWidget, choice: Choice = Choice.ROW
    ) -> None:
        super().__init__(parent)
        self.table = table
        self._choice = choice
        self._acts: dict[str, Callable[[], None]] = {}
        self._kept: tuple[list[Hashable], Hashable, int, int] = ([], None, -1, 0)
        self.setModel(table)
        for column, described in enumerate(table.columns):
            if described.short is not None:
                self.setItemDelegateForColumn(column, ShortWhereNarrow(self))
        self.setAccessibleName(name)
        by_row = choice is not Choice.CELL
        by, how = _VIEW.SelectionBehavior, _VIEW.SelectionMode
        self.setSelectionBehavior(by.SelectRows if by_row else by.SelectItems)
        one = choice is Choice.ROW
        self.setSelectionMode(how.SingleSelection if one else how.ExtendedSelection)
        self.setVerticalScrollMode(_VIEW.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(_VIEW.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setShowGrid(not by_row)
        self.verticalHeader().setVisible(table.name_of is not None)
        self.horizontalHeader().setHighlightSections(not by_row)
        table.modelAboutToBeReset.connect(self._keep_chosen)
        table.modelReset.connect(self._choose_again)
        table.layoutChanged.connect(lambda: self.scrollTo(self.currentIndex()))

    # Keys

    def act_on(self, *keys: Keys, does: Callable[[], None]) -> None:
        """Let keys do something while the table has the keyboard."""
        for key in keys:
            self._acts[QKeySequence(key).toString()] = does

    def open_with(self, does: Callable[[], None]) -> None:
        """Let Enter and a double click do something with the row that they are on."""
        self.act_on(Qt.Key.Key_Return, Qt.Key.Key_Enter, does=does)
        self.doubleClicked.connect(does)

    def _act_of(self, event: QKeyEvent) -> Callable[[], None] | None:
        if event.key() == Qt.Key.Key_unknown:
            return None
        if self.state() is _VIEW.State.EditingState and not self.hasFocus():
            return None  # a line to type in that is open in a cell let the key pass
        modifiers = event.modifiers() & _COMMAND_KEYS
        return self._acts.get(QKeySequence(modifiers.value | event.key()).toString())

    def event(self, event: QEvent) -> bool:
        """A key that does something here goes before the same key of the window's."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and self._act_of(event) is not None
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """What a key does here, else what it does in any list."""
        act = self._act_of(event)
        if act is None:
            super().keyPressEvent(event)
        else:
            act()

    # What is chosen

    def current(self) -> Row | None:
        """What the keyboard is on."""
        return self.table.at(self.currentIndex().row())

    def chosen(self) -> list[Row]:
        """All that is chosen, from top to bottom."""
        return [self.table.rows[row] for row in self._chosen_rows()]

    def _chosen_rows(self) -> list[int]:
        return sorted(index.row() for index in self.selectionModel().selectedRows())

    def choose(self, row: int | None) -> bool:
        """Choose a row and bring it into sight; False, with no change, where there is none."""
        if row is None or not 0 <= row < len(self.table.rows):
            return False
        self.setCurrentIndex(self.table.index(row, max(self.currentIndex().column(), 0)))
        return True

    def choose_ids(self, row_ids: list[Hashable], current: Hashable = None) -> None:
        """Choose all rows that are known by these, and none besides; bring one into sight."""
        table, selection = self.table, self.selectionModel()
        selection.clear()
        if not row_ids and current is None:
            return
        wanted = {*row_ids, current}
        row_of: dict[Hashable, int] = {}
        for row, row_id in enumerate(map(table.id_of, table.rows)):
            if row_id in wanted:
                row_of.setdefault(row_id, row)
        rows = sorted({row_of[row_id] for row_id in row_ids if row_id in row_of})
        # One by one, thousands of rows would take minutes.
        chosen, last = QItemSelection(), table.columnCount() - 1
        for _, run in groupby(enumerate(rows), key=lambda pair: pair[1] - pair[0]):
            block = [row for _, row in run]
            chosen.select(table.index(block[0], 0), table.index(block[-1], last))
        selection.select(chosen, _HOW.Select | _HOW.Rows)
        if current in row_of:
            index = table.index(row_of[current], 0)
            selection.setCurrentIndex(index, _HOW.NoUpdate)
            self.scrollTo(index)

    def _keep_chosen(self) -> None:
        at, rows = self.currentIndex(), self.table.rows
        there = 0 <= at.row() < len(rows)
        ids = (
            [self.table.id_of(row) for row in self.chosen()] if self._choice is Choice.ROWS else []
        )
        self._kept = ids, self.table.id_of(rows[at.row()]) if there else None, at.row(), at.column()

    def _choose_again(self) -> None:
        """A model that is set again, also to be filtered, forgets silently what was chosen."""
        ids, current, at, column = self._kept
        if self._choice is Choice.ROWS:
            self.choose_ids(ids, current)
            return
        row = None if at < 0 else self.table.row_of(current)
        if row is None and (at >= 0 or self._choice is Choice.ROW):
            row = self._near(max(at, 0))
        if row is not None:
            self.setCurrentIndex(self.table.index(row, max(column, 0)))

    def _near(self, at: int) -> int | None:
        """The next row that can be chosen, or the last one."""
        number = len(self.table.rows)
        order = [*range(at, number), *reversed(range(min(at, number)))]
        return next((row for row in order if self.table.at(row) is not None), None)

    # Order and widths

    def start_sorted(self, column: int, order: Qt.SortOrder) -> None:
        """Let a click on a heading sort by it; to begin with, sort by this column."""
        self.horizontalHeader().setSortIndicator(column, order)
        self.setSortingEnabled(True)

    def follow_texts(self) -> None:
        """Keep columns as wide as their texts."""
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)

    def fit_columns(self, room_px: int | None = None, measured: int = 1000) -> bool:
        """Share out the width that there is (or ``room_px``), as the columns' ``width`` says;
        whether one of them has less than its texts need in one line.

        So many rows at most are measured: all of them would be slow in a big season.
        """
        header, table = self.horizontalHeader(), self.table
        header.setResizeContentsPrecision(measured)
        widths = [column.width for column in table.columns]
        unused = [w.may_be_unused and table.is_unused(n) for n, w in enumerate(widths)]
        for column in range(len(widths)):
            self.setColumnHidden(column, False)  # what is hidden says no width
        heads = [header.sectionSizeHint(column) for column in range(len(widths))]
        natural = [max(self.sizeHintForColumn(n), head) for n, head in enumerate(heads)]
        lines = 2 if self._has_two_lines() else 1
        whole = natural.copy()
        for n, width in enumerate(widths):
            if width.in_two_lines:
                whole[n] = max(least_whole_px(table, n, self, lines, measured), heads[n])
                self.setWordWrap(lines > 1)
        letter_px = self.fontMetrics().horizontalAdvance("n")
        room_px = self.viewport().width() if room_px is None else room_px
        shared = shared_out(widths, natural, whole, unused, room_px, letter_px)
        for column, px in enumerate(shared):
            self.setColumnHidden(column, not px)
            if px:
                header.resizeSection(column, px)
        return any(0 < px < need for px, need in zip(shared, natural, strict=True))

    def _has_two_lines(self) -> bool:
        """Whether rows are high enough for two lines of text."""
        return self.verticalHeader().defaultSectionSize() >= lines_px(self.fontMetrics(), 2)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Say when there is more or less width for the columns, also as the scroll bar comes."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.widthChanged.emit()


def keyed_button(text: str, keys: str, parent: QWidget) -> QPushButton:
    """A button above a table, whose hint says its key there."""
    button = QPushButton(text, parent)
    set_hint(button, tr("Key: {keys}").format(keys=keys))
    return button

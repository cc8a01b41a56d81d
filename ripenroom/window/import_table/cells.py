"""The cells of a table on its way in, and beside each row what is wrong with it."""

from collections.abc import Callable
from operator import attrgetter
from typing import NamedTuple

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, Qt, QTimer
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QAbstractItemDelegate, QAbstractItemView, QHeaderView, QWidget

from ripenroom.texts import tr
from ripenroom.window.import_table.corrections import meaning_name
from ripenroom.window.import_table.state import RowTrouble, TableState
from ripenroom.window.palette import Palette
from ripenroom.window.theme import ink
from ripenroom.window.widgets.table import Table, TableColumn
from ripenroom.window.widgets.table_view import Choice, TableView
from ripenroom.wording.formats import ended

_HINT = QAbstractItemView.ScrollHint
_END = QAbstractItemDelegate.EndEditHint

Fixed = Callable[[int, int, str], None]
"""Takes a row's line number in the table, a column of the grid, and what was typed there."""

_MOST_LETTERS = 40
"""Columns are no wider, however long their texts."""


class CellRow(NamedTuple):
    """A row: its line number in the table that came, and which row of the grid it is now."""

    number: int
    at: int


def cell_rows(state: TableState, *, only_wrong: bool) -> list[CellRow]:
    """All rows, or those that have to be fixed."""
    rows = (CellRow(number, at) for at, number in enumerate(state.grid.numbers))
    return [row for row in rows if not only_wrong or row.number in state.troubles]


def cell_columns(state: TableState, colours: Palette, fixed: Fixed) -> list[TableColumn[CellRow]]:
    """First what is wrong. Then the table's own columns, whose cells can be fixed."""
    own = [_own_column(state, column, colours, fixed) for column in range(len(state.grid.heads))]
    return [_to_fix(state, colours), *own]


def _to_fix(state: TableState, colours: Palette) -> TableColumn[CellRow]:
    def text(row: CellRow) -> str:
        trouble = state.troubles.get(row.number)
        if trouble is None:
            return "✓"
        return f"{'?' if trouble.asks else '!'} {words_of(state, trouble)}"

    return TableColumn(
        # The headings beside it are of two lines.
        tr("To fix") + "\n",
        text,
        hint=lambda row: text(row) if state.troubles.get(row.number) else None,
        ink=lambda row: colours.warning if state.troubles.get(row.number) else None,
    )


def _own_column(
    state: TableState, column: int, colours: Palette, fixed: Fixed
) -> TableColumn[CellRow]:
    """A head with its meaning; a cell at fault has another ground, and says why."""
    head = state.grid.heads[column] or tr("(no heading)")
    key = state.mapping.meaning_of[column]
    heading = f"{head}\n{meaning_name(key) if key else tr('left out')}"

    def why(row: CellRow) -> str | None:
        trouble = state.troubles.get(row.number)
        return trouble.why_of(key) if trouble is not None and key is not None else None

    def ground(row: CellRow) -> QColor | None:
        return colours.warning_paper if why(row) is not None else None

    return TableColumn(
        heading,
        lambda row: state.grid.rows[row.at][column],
        hint=why,
        described=why,
        ink=(lambda _row: colours.faint) if key is None else None,
        ground=ground,
        take=lambda row, text: fixed(row.number, column, text),
        heading_hint=heading,
    )


def words_of(state: TableState, trouble: RowTrouble) -> str:
    """All that keeps a row from being taken, each with the column that it is about."""
    said = [
        _with_column(state, key, why) for key, why in ((trouble.key, trouble.why), *trouble.also)
    ]
    return " ".join(map(ended, said)) if len(said) > 1 else said[0]


def _with_column(state: TableState, key: str, why: str) -> str:
    """A reason such as "is needed" says nothing by itself; a whole sentence does.

    One that names what it is about ("Hand feel: type …") does so as the table heads it.
    """
    if not key:
        return why
    if not why[:1].isupper():
        return f"{_named(state, key, meaning_name(key))}: {why}"
    about, _, rest = why.partition(": ")
    if rest and about == meaning_name(key).split(", ")[0]:
        return f"{_named(state, key, about)}: {rest}"
    return why


def _named(state: TableState, key: str, meaning: str) -> str:
    """A column as the table heads it, and what it means where that is another word.

    By its meaning alone, "Fruit" would be looked for under a heading "Fruit" that means the crop.
    """
    column = state.mapping.column_of(key)
    head = state.grid.heads[column].strip() if column is not None else ""
    return meaning if head.casefold() in ("", meaning.casefold()) else f"{head} ({meaning})"


def column_at_fault(state: TableState, trouble: RowTrouble, start: int = 0) -> int | None:
    """The first shown column from ``start`` on that has to be fixed, else the first of all.

    None where none is at fault.
    """
    meant = enumerate(state.mapping.meaning_of, start=1)
    wrong = [column for column, key in meant if key and trouble.why_of(key) is not None]
    return next((column for column in wrong if column >= start), wrong[0] if wrong else None)


class CellTable(TableView[CellRow]):
    """The cells, of which those at fault are brought into sight and gone to."""

    _state: TableState | None = None
    _mended: tuple[TableState, int] | None = None
    """The table before a cell was typed in, and the line number of its row, until gone on from."""
    _by_enter = False
    """Whether Enter ended that cell: Tab goes to the cell beside it, a click where it is made."""
    _is_taking = False
    _postponed: tuple[TableState, bool] | None = None
    """What to show once the cell is done with that is being typed in."""

    def __init__(self, fixed: Fixed, parent: QWidget) -> None:
        table: Table[CellRow] = Table(
            [], parent, id_of=attrgetter("number"), name_of=lambda row: str(row.number)
        )
        super().__init__(tr("Rows of the table"), table, parent, Choice.CELL)
        self._fixed = fixed
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.doubleClicked.connect(self._fix)
        self.act_on(
            Qt.Key.Key_Return, Qt.Key.Key_Enter, does=lambda: self._fix(self.currentIndex(), True)
        )

    def show_state(self, state: TableState, *, only_wrong: bool) -> None:
        """Show a table as it is now, but no sooner than the cell that is typed in is done with."""
        is_typed_in = self.state() is QAbstractItemView.State.EditingState
        self._postponed = (state, only_wrong) if is_typed_in and not self._is_taking else None
        if self._postponed is not None:
            return
        self._state = state
        columns = cell_columns(state, ink(self), self._take)
        # The line to type in is gone with the old rows, and its keyboard would go to a button.
        has_keyboard = self.isAncestorOf(self.window().focusWidget() or self.window())
        self.table.show_rows(cell_rows(state, only_wrong=only_wrong), columns)
        if has_keyboard:
            self.setFocus()
        self.resizeColumnsToContents()
        widest = self.fontMetrics().horizontalAdvance("n") * _MOST_LETTERS
        for column in range(len(columns)):
            self.setColumnWidth(column, min(self.columnWidth(column) + 8, widest))
        if self.current() is None:
            self._go_to_first_fault()
        self.scrollTo(self.currentIndex())
        self._go_on()

    def _take(self, number: int, column: int, text: str) -> None:
        self._by_enter = False
        if self._state is not None:
            self._mended = self._state, number
        self._is_taking = True
        try:
            self._fixed(number, column, text)
        finally:
            self._is_taking = False

    def closeEditor(self, editor: QWidget, hint: _END) -> None:
        """Enter goes on to what has to be fixed next, once the table is looked over."""
        super().closeEditor(editor, hint)
        self._by_enter = hint is _END.SubmitModelCache
        self._mended = self._mended if self._by_enter else None
        if self._postponed is None:
            self._go_on()
        else:  # Qt is not done with the line to type in yet
            QTimer.singleShot(0, self, self._show_postponed)

    def _show_postponed(self) -> None:
        if self._postponed is not None:
            state, only_wrong = self._postponed
            self.show_state(state, only_wrong=only_wrong)

    def forget_postponed(self) -> None:
        """What was to be shown is of an older table than what is being read now."""
        self._postponed = None

    def _go_on(self) -> None:
        """From a mended cell to the next at fault in its row, else to the next wrong row."""
        state, at = self._state, self.currentIndex()
        if self._mended is None or state is None or not self._by_enter:
            return
        before, number = self._mended
        if state is before:  # a thread still looks it over
            return
        self._mended, rows, here = None, self.table.rows, max(at.row(), 0)
        same = at.isValid() and rows[here].number == number
        fault = self._fault(here, at.column()) if same else None
        order = [*range(here, len(rows)), *range(here)]
        wrong = next((row for row in order if rows[row].number in state.troubles), None)
        if fault is not None:
            self.setCurrentIndex(fault)
        elif wrong is not None:
            self.setCurrentIndex(self.table.index(wrong, 0))

    def _go_to_first_fault(self) -> None:
        """So that the whole reason is read at once: its column may cut it short."""
        state, rows = self._state, self.table.rows
        if state is None:
            return
        first = next((n for n, row in enumerate(rows) if row.number in state.troubles), None)
        if first is not None:
            self.setCurrentIndex(self.table.index(first, 0))

    def trouble(self) -> RowTrouble | None:
        """What is wrong with the row that the keyboard is on, if anything."""
        row = self.current()
        return None if row is None or self._state is None else self._state.troubles.get(row.number)

    def _fault(self, row: int, start: int = 0) -> QModelIndex | None:
        """The cell that has to be fixed in a row, from a column on if there is one."""
        state, there = self._state, self.table.at(row)
        trouble = state.troubles.get(there.number) if state and there else None
        wrong = column_at_fault(state, trouble, start) if state and trouble else None
        return None if wrong is None else self.table.index(row, wrong)

    def scrollTo(
        self, index: QModelIndex | QPersistentModelIndex, hint: _HINT = _HINT.EnsureVisible
    ) -> None:
        """Whoever comes to a row by hand or key sees the cell that has to be fixed there too.

        What is wrong is read below the table: the first column may go out of sight for the cell.
        """
        fault = self._fault(index.row())
        if fault is None:
            super().scrollTo(index, hint)
            return
        for one in (index, fault) if index.column() == 0 else (fault, index):
            super().scrollTo(one, hint)

    def _fix(self, index: QModelIndex, by_key: bool = False) -> None:
        """Enter or a double click on what is wrong begins to fix the cell at fault.

        Enter on a cell of the table's own begins to change that one; a double click does so as in
        any table.
        """
        at = self._fault(index.row()) if index.column() == 0 else index if by_key else None
        if at is not None and at.isValid():
            self.setCurrentIndex(at)
            self.edit(at)

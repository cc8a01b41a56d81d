"""One table for the window: its columns are described, its rows are what a page has of them.

It is filtered and sorted here, before Qt sees it: Qt's sorting proxy asks Python for every
comparison, which is hundreds of times slower.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field
from operator import attrgetter, itemgetter
from typing import Final, Generic, TypeVar

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor, QIcon

from ripenroom.window.plain import plain_hint
from ripenroom.window.widgets.column_widths import ColumnWidth

Row = TypeVar("Row")
SortKey = float | str | None
Index = QModelIndex | QPersistentModelIndex

LEFT: Final = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
RIGHT: Final = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter

_ROOT = QModelIndex()
_ROLE = Qt.ItemDataRole


@dataclass(frozen=True, slots=True)
class TableColumn(Generic[Row]):
    """What one column says of a row; what is None it says nothing of.

    ``key`` is what it sorts by: without one, the text without regard to capitals. Rows with an
    empty key (None, NaN or ``""``) stand below the others, whichever way it is sorted. ``short`` is
    what it says where there is no room for the text. ``heard`` is
    what a screen reader says instead of the text, ``described`` what it says after it. With
    ``take`` a cell can be typed into, and it is handed the row and what was typed.
    """

    heading: str
    text: Callable[[Row], str]
    key: Callable[[Row], SortKey] | None = None
    align: Qt.AlignmentFlag = LEFT
    short: Callable[[Row], str] | None = None
    hint: Callable[[Row], str | None] | None = None
    heard: Callable[[Row], str] | None = None
    described: Callable[[Row], str | None] | None = None
    icon: Callable[[Row], QIcon | None] | None = None
    ink: Callable[[Row], QColor | None] | None = None
    ground: Callable[[Row], QColor | None] | None = None
    take: Callable[[Row, str], None] | None = None
    heading_hint: str = ""
    width: ColumnWidth = field(default_factory=ColumnWidth)

    @property
    def sort_key(self) -> Callable[[Row], SortKey]:
        """What rows are sorted by."""
        return self.key or (lambda row: self.text(row).casefold())


_ASKED = {
    int(_ROLE.ToolTipRole): attrgetter("hint"),
    int(_ROLE.AccessibleDescriptionRole): attrgetter("described"),
    int(_ROLE.DecorationRole): attrgetter("icon"),
    int(_ROLE.ForegroundRole): attrgetter("ink"),
    int(_ROLE.BackgroundRole): attrgetter("ground"),
}
_CHOSEN = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
_TYPED_INTO = _CHOSEN | Qt.ItemFlag.ItemIsEditable
_DISPLAY, _EDIT = int(_ROLE.DisplayRole), int(_ROLE.EditRole)
_HEARD, _HINT, _ALIGN = (
    int(role) for role in (_ROLE.AccessibleTextRole, _ROLE.ToolTipRole, _ROLE.TextAlignmentRole)
)
_ANSWERED = frozenset({_DISPLAY, _EDIT, _HEARD, _ALIGN, *_ASKED})


class Table(QAbstractTableModel, Generic[Row]):
    """``given`` are all rows in the order in which they came, ``rows`` those shown, as sorted.

    ``id_of`` says by what a row is known again after a change. ``name_of`` is what stands beside a
    row; without it nothing does. A row for which ``heads`` holds is a heading among the others:
    it is looked at, and never chosen.
    """

    def __init__(
        self,
        columns: Sequence[TableColumn[Row]],
        parent: QObject | None = None,
        *,
        id_of: Callable[[Row], Hashable] = id,
        name_of: Callable[[Row], str] | None = None,
        heads: Callable[[Row], bool] | None = None,
    ) -> None:
        super().__init__(parent)
        self.columns = columns
        self.id_of, self.name_of, self._heads = id_of, name_of, heads
        self.given: Sequence[Row] = ()
        self.rows: list[Row] = []
        self._order: list[int] = []
        self._passes: Callable[[Row], bool] | None = None
        self._passed: list[int] = []
        self._sorted_by: tuple[int, bool] | None = None
        self._texts: dict[tuple[int, int], str] = {}

    # What is shown

    def show_rows(
        self, rows: Sequence[Row], columns: Sequence[TableColumn[Row]] | None = None
    ) -> None:
        """Show these, by the columns that there are or by others; filter and order are kept."""
        self.beginResetModel()
        self.columns = self.columns if columns is None else columns
        self.given = rows
        self._filter()
        self._arrange()
        self.endResetModel()

    def filter_by(self, passes: Callable[[Row], bool] | None) -> None:
        """Show only rows for which ``passes`` holds, from now on; None: all."""
        self.beginResetModel()
        self._passes = passes
        self._filter()
        self._arrange()
        self.endResetModel()

    def say_again(self) -> None:
        """The same rows say something else now."""
        self._texts.clear()
        if self.rows:
            last = self.index(len(self.rows) - 1, len(self.columns) - 1)
            self.dataChanged.emit(self.index(0, 0), last)

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Order by a column; rows that are alike there stay as they came."""
        wanted = column, order == Qt.SortOrder.DescendingOrder
        if wanted == self._sorted_by:  # a view asks twice
            return
        self.layoutAboutToBeChanged.emit()
        kept, before = self.persistentIndexList(), self._order
        self._sorted_by = wanted
        self._arrange()
        if kept:
            row_of = {given: row for row, given in enumerate(self._order)}
            now = [self.index(row_of[before[index.row()]], index.column()) for index in kept]
            self.changePersistentIndexList(kept, now)
        self.layoutChanged.emit()

    def _filter(self) -> None:
        passes = self._passes
        self._passed = [n for n, row in enumerate(self.given) if passes is None or passes(row)]

    def _arrange(self) -> None:
        given, order = self.given, self._passed
        if self._sorted_by is not None:
            column, falling = self._sorted_by
            key = self.columns[column].sort_key
            filled: list[tuple[float | str, int]] = []
            empty: list[int] = []
            for n in order:
                of_it = key(given[n])
                # Only NaN is unlike itself.
                if of_it is None or of_it == "" or of_it != of_it:
                    empty.append(n)
                else:
                    filled.append((of_it, n))
            filled.sort(key=itemgetter(0), reverse=falling)
            order = [*(n for _, n in filled), *empty]
        self._order, self.rows = order, [given[n] for n in order]
        self._texts.clear()

    # Looking things up

    def at(self, row: int) -> Row | None:
        """What is shown in a row; None of a heading, and where there is no such row."""
        there = self.rows[row] if 0 <= row < len(self.rows) else None
        return None if there is None or (self._heads and self._heads(there)) else there

    def row_of(self, row_id: Hashable) -> int | None:
        """The first row that is known by this, None while none is shown."""
        return self.first(lambda row: self.id_of(row) == row_id)

    def first(self, wanted: Callable[[Row], bool]) -> int | None:
        """The first row that can be chosen and for which ``wanted`` holds."""
        heads = self._heads or (lambda _row: False)
        found = (n for n, row in enumerate(self.rows) if not heads(row) and wanted(row))
        return next(found, None)

    def text(self, row: int, column: int) -> str:
        """What a cell says. A view that measures its cells asks for each of them many times."""
        said = self._texts.get((row, column))
        if said is None:
            said = self._texts[row, column] = self.columns[column].text(self.rows[row])
        return said

    def is_unused(self, column: int) -> bool:
        """Whether no row says anything in a column, whether it is shown or not."""
        says = self.columns[column].text
        return not any(says(row) for row in self.given)

    # What Qt asks

    def rowCount(self, parent: Index = _ROOT) -> int:
        """Rows that are shown."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = _ROOT) -> int:
        """Columns, shown or not."""
        return 0 if parent.isValid() else len(self.columns)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Headings cannot be chosen, and only some columns can be typed into."""
        if not index.isValid() or (self._heads and self._heads(self.rows[index.row()])):
            return Qt.ItemFlag.NoItemFlags
        return _CHOSEN if self.columns[index.column()].take is None else _TYPED_INTO

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = _ROLE.DisplayRole
    ) -> object:
        """The columns' headings, aligned as their cells are; beside the rows their names."""
        if orientation == Qt.Orientation.Vertical:
            named = role == _DISPLAY and self.name_of and 0 <= section < len(self.rows)
            return self.name_of(self.rows[section]) if named and self.name_of else None
        if not 0 <= section < len(self.columns):
            return None
        column = self.columns[section]
        if role == _HINT:
            return plain_hint(column.heading_hint) if column.heading_hint else None
        return {_DISPLAY: column.heading, _ALIGN: column.align}.get(role)

    def data(self, index: Index, role: int = _ROLE.DisplayRole) -> object:
        """What the column says of the row in this role."""
        if role not in _ANSWERED or not index.isValid():
            return None
        row, column = index.row(), self.columns[index.column()]
        if role == _ALIGN:
            return column.align
        if role in (_DISPLAY, _EDIT) or (role == _HEARD and column.heard is None):
            return self.text(row, index.column())
        asked = column.heard if role == _HEARD else _ASKED[role](column)
        said = asked(self.rows[row]) if asked else None
        return plain_hint(said) if role == _HINT and said else said

    def setData(self, index: Index, value: object, role: int = _ROLE.EditRole) -> bool:
        """Hand what was typed on, unless it stands there already."""
        take = self.columns[index.column()].take
        if role != _EDIT or take is None or str(value) == self.text(index.row(), index.column()):
            return False
        take(self.rows[index.row()], str(value))
        return True

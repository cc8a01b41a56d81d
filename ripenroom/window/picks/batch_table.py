"""A table model over the season's batches; sorted and filtered before Qt sees them.

Qt's sorting proxy asks Python for every comparison; sorting the list first is hundreds of times
faster.
"""

from collections.abc import Sequence

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QIcon, QPainter, QPixmap

from ripenroom.season.projection import FruitState
from ripenroom.window.palette import Palette, paint_mark
from ripenroom.window.picks.batch_rows import BatchRow, Column, filtered, headings
from ripenroom.window.plain import plain_hint
from ripenroom.window.theme import ink

_Index = QModelIndex | QPersistentModelIndex
_ROOT = QModelIndex()
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
MARK_SIZE = QSize(18, 12)


class BatchModel(QAbstractTableModel):
    """Set :meth:`set_lines` after every change; filter and order are kept."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._all: list[BatchRow] = []
        self._shown: list[BatchRow] = []
        self._words = ""
        self._with_empty = False
        self._column = Column.PICKED
        self._order = Qt.SortOrder.DescendingOrder
        self._headings = headings()
        self._marks: dict[FruitState, QIcon] = {}
        self._marks_ink: Palette | None = None

    def set_lines(self, lines: Sequence[BatchRow]) -> None:
        """Show these batches."""
        self._all = list(lines)
        self._renew()

    def set_filter(self, words: str, with_empty: bool) -> None:
        """Show only lines with all these words; batches with no fruit left only if asked."""
        self._words, self._with_empty = words, with_empty
        self._renew()

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Order by a column."""
        self._column, self._order = Column(column), order
        self._renew()

    def _renew(self) -> None:
        self.beginResetModel()
        self._shown = sorted(
            filtered(self._all, self._words, self._with_empty),
            key=lambda line: line.keys[self._column],
            reverse=self._order == Qt.SortOrder.DescendingOrder,
        )
        self.endResetModel()

    def batch_id(self, row: int) -> str:
        """The batch in a line of the table."""
        return self._shown[row].batch_id

    def row_of(self, batch_id: str) -> int | None:
        """The line of a batch, or None while it is filtered out."""
        for row, line in enumerate(self._shown):
            if line.batch_id == batch_id:
                return row
        return None

    def says_anything_in(self, column: Column) -> bool:
        """Whether any batch has a text in a column, shown or not."""
        return any(line.texts[column] for line in self._all)

    @property
    def known(self) -> int:
        """How many batches there are, shown or not."""
        return len(self._all)

    def rowCount(self, parent: _Index = _ROOT) -> int:
        """Lines shown."""
        return 0 if parent.isValid() else len(self._shown)

    def columnCount(self, parent: _Index = _ROOT) -> int:
        """Columns of the table."""
        return 0 if parent.isValid() else len(Column)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Texts, the mark of the state, and alignment of numbers."""
        if not index.isValid():
            return None
        line, column = self._shown[index.row()], index.column()
        if role == Qt.ItemDataRole.DisplayRole:
            return line.texts[column]
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain_hint(line.texts[column])
        if role == Qt.ItemDataRole.DecorationRole and column == Column.STATE:
            return None if line.state is None else self._mark(line.state)
        if role == Qt.ItemDataRole.TextAlignmentRole and column == Column.LEFT:
            return _RIGHT
        return None

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        """Headings of the columns."""
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self._headings[section]
        if role == Qt.ItemDataRole.TextAlignmentRole and section == Column.LEFT:
            return _RIGHT
        return None

    def _mark(self, state: FruitState) -> QIcon:
        colours = ink()
        if colours is not self._marks_ink:
            self._marks, self._marks_ink = {}, colours
        if state not in self._marks:
            scale = 3.0
            picture = QPixmap(MARK_SIZE * scale)
            picture.setDevicePixelRatio(scale)
            picture.fill(Qt.GlobalColor.transparent)
            painter = QPainter(picture)
            paint_mark(painter, QRectF(0, 0, MARK_SIZE.width(), MARK_SIZE.height()), state, colours)
            painter.end()
            icon = QIcon()
            # The same picture when selected: a tinted one would lose the hatching.
            icon.addPixmap(picture, QIcon.Mode.Normal)
            icon.addPixmap(picture, QIcon.Mode.Selected)
            self._marks[state] = icon
        return self._marks[state]

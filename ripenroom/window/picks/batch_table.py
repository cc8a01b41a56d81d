"""The columns of the list of batches: how they give way, and the marks of states."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap

from ripenroom.season.projection import FruitState
from ripenroom.texts import tr
from ripenroom.window.palette import Palette, paint_mark
from ripenroom.window.picks.batch_rows import BatchRow, Column
from ripenroom.window.theme import ink
from ripenroom.window.widgets.column_widths import ColumnWidth
from ripenroom.window.widgets.table import LEFT, RIGHT, TableColumn

MARK_SIZE = QSize(18, 12)

_WIDTHS = {
    Column.CROP: ColumnWidth(14, gives_first=True),
    Column.PICKED: ColumnWidth(left_out=0),
    Column.FEEL: ColumnWidth(10, left_out=1, may_be_unused=True),
    Column.ROW: ColumnWidth(11, left_out=2, may_be_unused=True),
    Column.PLACE: ColumnWidth(11, left_out=3),
}
"""Feels and rows are never entered by many a grower. A batch's code says when it was picked, and
what is left reads better whole than all of it cut short. The crop behind a cultivar's name is what
is missed least."""


def batch_columns() -> list[TableColumn[BatchRow]]:
    """The columns, as :class:`Column` has them in order."""
    headings = {
        Column.CODE: tr("Batch"),
        Column.CROP: tr("Crop"),
        Column.ROW: tr("Row"),
        Column.PLACE: tr("Place"),
        Column.LEFT: tr("Left"),
        Column.FEEL: tr("Feel"),
        Column.PICKED: tr("Picked"),
        Column.STATE: tr("Now"),
        Column.OPENS: tr("Good from"),
        Column.CLOSES: tr("until"),
    }
    marks = _StateMarks()

    def described(column: Column) -> TableColumn[BatchRow]:
        return TableColumn(
            headings[column],
            text=lambda row: row.texts[column],
            key=lambda row: row.keys[column],
            align=RIGHT if column is Column.LEFT else LEFT,
            hint=lambda row: row.texts[column],
            icon=marks.of if column is Column.STATE else None,
            width=_WIDTHS.get(column, ColumnWidth()),
        )

    return [described(column) for column in Column]


class _StateMarks:
    """The marks of states, drawn once for each palette."""

    def __init__(self) -> None:
        self._drawn: dict[FruitState, QIcon] = {}
        self._in: Palette | None = None

    def of(self, row: BatchRow) -> QIcon | None:
        """The mark of a batch's state; none where nothing is expected."""
        state, colours = row.state, ink()
        if state is None:
            return None
        if colours is not self._in:
            self._drawn, self._in = {}, colours
        if state not in self._drawn:
            self._drawn[state] = _mark(state, colours)
        return self._drawn[state]


def _mark(state: FruitState, colours: Palette) -> QIcon:
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
    return icon

"""Cells that stand in two lines where there is too little room for one, or else say less."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from ripenroom.window.widgets.table import Row, Table


def broken_px(text: str, letters: QFontMetrics, lines: int) -> int:
    """How wide a text is in so many lines (one or two), broken at the best of its blanks."""
    words = text.split(" ")
    ways: list[tuple[str, ...]] = [(text,)]
    if lines > 1:
        ways += [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
    return min(max(map(letters.horizontalAdvance, way)) for way in ways)


def lines_px(letters: QFontMetrics, lines: int) -> int:
    """How high so many lines are as they are drawn; letters of some sizes stand a little apart."""
    room = QRect(0, 0, 1000, 1000)
    return letters.boundingRect(room, 0, "\n".join("x" * lines)).height()


def least_whole_px(table: Table[Row], column: int, view: QWidget, lines: int, measured: int) -> int:
    """How wide a column has to be for the texts of its first rows, short where they may be."""
    letters, described = view.fontMetrics(), table.columns[column]
    said = {(described.short or described.text)(row) for row in table.rows[:measured]}
    widest = max((broken_px(text, letters, lines) for text in said), default=0)
    return widest + 2 * _margin_px(view) + 1


def _margin_px(view: QWidget) -> int:
    """What Qt leaves free beside the text of a cell."""
    return view.style().pixelMetric(QStyle.PixelMetric.PM_FocusFrameHMargin) + 1


class ShortWhereNarrow(QStyledItemDelegate):
    """Says the short text of a column where the whole one would be cut off."""

    def initStyleOption(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """The text that there is room for; where the room is not known yet, the whole one."""
        super().initStyleOption(option, index)
        table, room = index.model(), option.rect.width() - 2 * _margin_px(option.widget)
        if not isinstance(table, Table) or room <= 0:
            return
        short = table.columns[index.column()].short
        if short is None:
            return
        wraps = option.features & QStyleOptionViewItem.ViewItemFeature.WrapText
        if broken_px(option.text, option.fontMetrics, 2 if wraps else 1) > room:
            option.text = short(table.rows[index.row()])

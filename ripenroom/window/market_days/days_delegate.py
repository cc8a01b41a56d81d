"""Paints a cell of two lines: the first as what it is, the second fainter."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem, QWidget

from ripenroom.window.fonts import bold
from ripenroom.window.market_days.cell import PAD, begin_cell
from ripenroom.window.market_days.table import MarketTable
from ripenroom.window.theme import ink


class DaysDelegate(QStyledItemDelegate):
    """For the day and the place of a market day; what is over is fainter altogether."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Both lines whole."""
        metrics = QFontMetricsF(bold(option.font))
        lines = str(index.data()).split("\n")
        wide = max(metrics.horizontalAdvance(line) for line in lines)
        return QSize(round(wide + 2 * PAD) + 2, round(metrics.height() * 1.35 * 2 + 2 * PAD))

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """First line heavy, second plain."""
        model, view = index.model(), self.parent()
        assert isinstance(model, MarketTable)
        assert isinstance(view, QWidget)
        colours = ink(view)
        over = model.lines[index.row()].over
        painter.save()
        rect, chosen = begin_cell(painter, option, colours)
        heavy = bold(option.font)
        line_px = QFontMetricsF(heavy).height() * 1.35
        first, _, second = str(index.data()).partition("\n")
        for number, (text, font) in enumerate(((first, heavy), (second, option.font))):
            faint = colours.faint if over or number else colours.text
            painter.setPen(colours.on_chosen if chosen else faint)
            painter.setFont(font)
            cell = QRectF(rect.x(), rect.y() + number * line_px, rect.width(), line_px)
            shown = QFontMetricsF(font).elidedText(text, Qt.TextElideMode.ElideRight, cell.width())
            painter.drawText(cell, Qt.AlignmentFlag.AlignVCenter, shown)
        painter.restore()

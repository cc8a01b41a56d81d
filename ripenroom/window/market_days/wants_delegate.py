"""Paints a market day's wants: crop, wanted, the bar of what will be ready, and the verdict."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from ripenroom.window.market_days.balance import (
    Verdict,
    paint_balance,
    ready_words,
    verdict,
    verdict_words,
)
from ripenroom.window.market_days.table import MarketTable, WantLine
from ripenroom.window.session import Session
from ripenroom.window.theme import Ink, ink

_PAD = 8.0
_SHARES = (0.20, 0.20, 0.20, 0.17, 0.23)
"""Of the width: crop, wanted and price, bar, ready, verdict."""


class WantsDelegate(QStyledItemDelegate):
    """All bars of the table share one scale, so that their lengths can be compared."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self._session = session

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """A line for each want, two at least: day and time stand in two lines beside them."""
        line = _line_px(option.font)
        model = index.model()
        assert isinstance(model, MarketTable)
        wants = model.lines[index.row()].wants
        return QSize(300, round(line * max(len(wants), 2) + 2 * _PAD))

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Each want in a line, its parts in columns."""
        model, view = index.model(), self.parent()
        assert isinstance(model, MarketTable)
        assert isinstance(view, QWidget)
        colours = ink(view)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        if chosen:
            painter.fillRect(option.rect, colours.chosen)
        line_px = _line_px(option.font)
        scale = _full_scale(model)
        rect = QRectF(option.rect).adjusted(_PAD, _PAD, -_PAD, -_PAD)
        painter.save()
        painter.setClipRect(option.rect)
        for number, want in enumerate(model.lines[index.row()].wants):
            row = QRectF(rect.x(), rect.y() + number * line_px, rect.width(), line_px)
            self._paint_want(painter, row, option.font, want, scale, colours, chosen)
        if not model.lines[index.row()].wants:
            painter.setPen(colours.on_chosen if chosen else colours.faint)
            painter.setFont(option.font)
            painter.drawText(rect, self.tr("no wants yet: Enter adds them"))
        painter.restore()

    def _paint_want(
        self,
        painter: QPainter,
        row: QRectF,
        font: QFont,
        line: WantLine,
        scale: float,
        colours: Ink,
        chosen: bool,
    ) -> None:
        words, supply = self._session.words, line.supply
        cells = []
        x = row.x()
        for share in _SHARES:
            cells.append(QRectF(x, row.y(), row.width() * share - 6.0, row.height()))
            x += row.width() * share
        wanted = self.tr("wants {count}").format(count=words.number(line.want.count))
        if line.want.price_minor is not None:
            wanted = self.tr("{wanted} at {price}").format(
                wanted=wanted, price=words.money(line.want.price_minor)
            )
        plain = colours.text if supply is not None else colours.faint
        pen = colours.on_chosen if chosen else plain
        texts = [(cells[0], line.crop, False), (cells[1], wanted, False)]
        if supply is None:
            sold = self.tr("sold {count}").format(count=words.number(line.sold or 0))
            texts.append((cells[2], sold, False))
        else:
            bar = cells[2].adjusted(0, 2, -6, -2)
            if chosen and colours.chosen == colours.text:  # high contrast: bars need their paper
                painter.fillRect(bar.adjusted(-3, 0, 3, 0), colours.paper)
            paint_balance(painter, bar, supply, scale, colours)
            short = verdict(supply) is Verdict.SHORT
            texts.append((cells[3], ready_words(supply, words), False))
            texts.append((cells[4], verdict_words(supply, words), short))
        for cell, text, strong in texts:
            heavy = QFont(font)
            heavy.setBold(strong)
            painter.setFont(heavy)
            painter.setPen(pen)
            shown = QFontMetricsF(heavy).elidedText(text, Qt.TextElideMode.ElideRight, cell.width())
            painter.drawText(cell, Qt.AlignmentFlag.AlignVCenter, shown)


def _line_px(font: QFont) -> float:
    return QFontMetricsF(font).height() * 1.35


def _full_scale(model: MarketTable) -> float:
    counts = [
        max(want.supply.high, want.supply.wanted)
        for line in model.lines
        for want in line.wants
        if want.supply is not None
    ]
    return max(counts, default=1.0) * 1.02

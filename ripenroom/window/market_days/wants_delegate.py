"""Paints a market day's wants: crop, wanted, the bar of what will be ready, and the verdict."""

from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter
from PySide6.QtWidgets import (
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from ripenroom.window.fonts import bold
from ripenroom.window.inks import Ink
from ripenroom.window.market_days.balance import (
    Verdict,
    paint_balance,
    ready_words,
    verdict,
    verdict_words,
)
from ripenroom.window.market_days.cell import PAD, begin_cell
from ripenroom.window.market_days.table import MarketTable, WantLine
from ripenroom.window.session import Session
from ripenroom.window.theme import ink

_GAP = 12.0
_BAR_LEAST = 40.0


class WantsDelegate(QStyledItemDelegate):
    """All bars of the table share one scale, so that their lengths can be compared."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self._session = session
        self._columns: Columns | None = None

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """One line or two for each want; two at least, as day and time beside them take two."""
        model, view = index.model(), self.parent()
        assert isinstance(model, MarketTable)
        assert isinstance(view, QTableView)
        columns = self._columns_of(model, option.font)
        each = columns.lines(view.columnWidth(index.column()) - 2 * PAD)
        wants = model.lines[index.row()].wants
        return QSize(300, round(_line_px(option.font) * max(len(wants) * each, 2) + 2 * PAD))

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
        rect, chosen = begin_cell(painter, option, colours)
        line_px = _line_px(option.font)
        columns = self._columns_of(model, option.font)
        want_px = line_px * columns.lines(rect.width())
        painter.save()
        painter.setClipRect(option.rect)
        for number, want in enumerate(model.lines[index.row()].wants):
            row = QRectF(rect.x(), rect.y() + number * want_px, rect.width(), line_px)
            self._paint_want(painter, row, option.font, want, columns, colours, chosen)
        if not model.lines[index.row()].wants:
            painter.setPen(colours.on_chosen if chosen else colours.faint)
            painter.setFont(option.font)
            painter.drawText(rect, self.tr("no wants yet: Enter adds them"))
        painter.restore()

    def has_bars(self, model: MarketTable, font: QFont, cell_px: float) -> bool:
        """Whether a cell of that width has room for bars."""
        return self._columns_of(model, font).bar_px(cell_px - 2 * PAD) > 0.0

    def _columns_of(self, model: MarketTable, font: QFont) -> "Columns":
        if self._columns is None:
            self._columns = self._measure(model, font)
        return self._columns

    def forget_measures(self) -> None:
        """Measure the texts anew: called when the table or the font has changed."""
        self._columns = None

    def _measure(self, model: MarketTable, font: QFont) -> "Columns":
        """As wide as the longest text of each column: nothing is cut while there is room."""
        metrics, heavy = QFontMetricsF(font), QFontMetricsF(bold(font))
        widest = [0.0, 0.0, 0.0, 0.0]
        most = 1.0
        for line in model.lines:
            for want in line.wants:
                for n, (text, strong) in enumerate(self._texts(want)):
                    width = (heavy if strong else metrics).horizontalAdvance(text) + _GAP
                    widest[n] = max(widest[n], width)
                if want.supply is not None:
                    most = max(most, want.supply.high, want.supply.wanted)
        return Columns(widest[0], widest[1], widest[2], widest[3], most * 1.02)

    def _texts(self, line: WantLine) -> list[tuple[str, bool]]:
        """Crop, wanted, ready and verdict, each with whether it is emphasised."""
        words, supply = self._session.words, line.supply
        wants = self.tr("wants {count}") if supply is not None else self.tr("wanted {count}")
        wanted = wants.format(count=words.number(line.want.count))
        if line.want.price_minor is not None:
            wanted = self.tr("{wanted} at {price}").format(
                wanted=wanted, price=words.money(line.want.price_minor)
            )
        texts = [(line.crop, False), (wanted, False)]
        if supply is None:
            sold = self.tr("sold {count}").format(count=words.number(line.sold or 0))
            return [*texts, (sold, False), ("", False)]
        short = verdict(supply) is Verdict.SHORT
        return [*texts, (ready_words(supply, words), False), (verdict_words(supply, words), short)]

    def _paint_want(
        self,
        painter: QPainter,
        row: QRectF,
        font: QFont,
        line: WantLine,
        columns: "Columns",
        colours: Ink,
        chosen: bool,
    ) -> None:
        bar, cells = columns.cells(row)
        if line.supply is not None and bar.width() > 0.0:
            if chosen and colours.chosen == colours.text:  # high contrast: bars need their paper
                painter.fillRect(bar.adjusted(-3, 0, 3, 0), colours.paper)
            paint_balance(painter, bar, line.supply, columns.most, colours)
        plain = colours.text if line.supply is not None else colours.faint
        painter.setPen(colours.on_chosen if chosen else plain)
        for cell, (text, strong) in zip(cells, self._texts(line), strict=True):
            used = bold(font) if strong else font
            painter.setFont(used)
            shown = QFontMetricsF(used).elidedText(text, Qt.TextElideMode.ElideRight, cell.width())
            painter.drawText(cell, Qt.AlignmentFlag.AlignVCenter, shown)


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths of the texts, and the count of fruit at the right end of every bar."""

    crop: float
    wanted: float
    ready: float
    verdict: float
    most: float

    def bar_px(self, width: float) -> float:
        """How long bars are in a cell of that width; 0 where the texts leave no room for one."""
        spare = width - self.crop - self.wanted - self.ready - self.verdict - _GAP
        return min(spare, width * 0.35) if spare >= _BAR_LEAST else 0.0

    def lines(self, width: float) -> int:
        """How many lines a want takes: two where all of it does not fit into one."""
        return 1 if self.crop + self.wanted + self.ready + self.verdict <= width else 2

    def cells(self, row: QRectF) -> tuple[QRectF, list[QRectF]]:
        """Where the bar stands (no width if there is no room), and crop, wanted, ready, verdict.

        ``row`` is the first of the want's lines.
        """
        if self.lines(row.width()) == 2:
            below = row.translated(self.crop, row.height())
            return QRectF(), [
                QRectF(row.x(), row.y(), self.crop, row.height()),
                row.adjusted(self.crop, 0, 0, 0),
                QRectF(below.x(), below.y(), self.ready, row.height()),
                below.adjusted(self.ready, 0, -self.crop, 0),
            ]
        widths = [self.crop, self.wanted, self.ready, self.verdict]
        bar_px = self.bar_px(row.width())
        cells, x = [], row.x()
        bar = QRectF()
        for n, width in enumerate(widths):
            if n == 2:
                bar = QRectF(x, row.y() + 2, bar_px, row.height() - 4)
                x += bar_px + (_GAP if bar_px else 0.0)
            cells.append(QRectF(x, row.y(), min(width, row.right() - x), row.height()))
            x += width
        return bar, cells


def _line_px(font: QFont) -> float:
    return QFontMetricsF(font).height() * 1.35

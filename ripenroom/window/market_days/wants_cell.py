"""The cell of a market day's wants: where its parts stand, and how they and its bar are painted."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QFont, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import (
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from ripenroom.season.plans.plan import Risk
from ripenroom.season.projection import Supply, Verdict
from ripenroom.texts import tr
from ripenroom.window.market_days.table import PAD, begin_cell, foot_words
from ripenroom.window.palette import Palette
from ripenroom.window.session import Session
from ripenroom.window.theme import bold, ink
from ripenroom.window.widgets.table import Table
from ripenroom.wording.market_days import (
    MarketDayOutlook,
    WantOutlook,
    asked_words,
    packed_words,
    planned_words,
    ready_words,
    risk_words,
    sale_words,
    verdict_words,
)

GAP: Final = 12.0
"""Pixels between the parts."""

_BAR_LEAST = 40.0
_BAR_MOST_SHARE = 0.35


@dataclass(frozen=True, slots=True)
class WantParts:
    """Widths of the texts, the first being the crop; one of width 0 is not there in any row.

    The bar stands before the column ``bar_at``; ``most`` is the count of fruit at its right end.
    """

    widths: tuple[float, ...]
    bar_at: int
    most: float

    def bar_px(self, width: float) -> float:
        """How long bars are in a cell of that width; 0 where the texts leave no room for one."""
        spare = width - sum(self.widths) - GAP
        return min(spare, width * _BAR_MOST_SHARE) if spare >= _BAR_LEAST else 0.0

    def lines(self, width: float, said: Sequence[bool] | None = None) -> int:
        """How many lines a want takes in a cell of that width; its last ones are left out where it
        has nothing ``said`` in their columns."""
        broken = self._broken(width)
        if said is None:
            return len(broken)
        filled = [n for n, columns in enumerate(broken) if any(said[column] for column in columns)]
        return max(filled, default=0) + 1

    def cells(self, row: QRectF) -> tuple[QRectF, list[QRectF]]:
        """Where the bar stands (no width if there is no room), and every text.

        ``row`` is the first of the want's lines; the others begin beside the crop.
        """
        broken, bar, cells = self._broken(row.width()), QRectF(), [QRectF()] * len(self.widths)
        bar_px = self.bar_px(row.width())
        for line, columns in enumerate(broken):
            x = row.x() + (self.widths[0] if line else 0.0)
            y = row.y() + line * row.height()
            for place, column in enumerate(columns):
                if bar_px and column == self.bar_at:
                    bar = QRectF(x, y + 2, bar_px, row.height() - 4)
                    x += bar_px + GAP
                # The last of a line takes what is left of it.
                last = place == len(columns) - 1 and len(broken) > 1
                wide = row.right() - x if last else min(self.widths[column], row.right() - x)
                cells[column] = QRectF(x, y, max(wide, 0.0), row.height())
                x += self.widths[column]
        return bar, cells

    def _broken(self, width: float) -> Sequence[Sequence[int]]:
        """The columns of each line: as many as fit, at least one beside the crop."""
        there = [n for n, wide in enumerate(self.widths) if wide or not n]
        if sum(self.widths) <= width:
            return [there]
        lines, used = [[0]], self.widths[0]
        for column in there[1:]:
            if used + self.widths[column] > width and used > self.widths[0]:
                lines.append([])
                used = self.widths[0]
            lines[-1].append(column)
            used += self.widths[column]
        return lines


_PARTS = 6
"""Crop, wanted, planned, ready, verdict and risk."""

_BAR_AT = 3
"""The bar stands before what is ready, which it shows."""


class WantsDelegate(QStyledItemDelegate):
    """All bars of the table share one scale, so that their lengths can be compared."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self._session = session
        self._columns: WantParts | None = None
        self._measured_in = QFont()

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """One line or more for each want; two at least, as day and time beside them take two."""
        model, view = index.model(), self.parent()
        assert isinstance(model, Table)
        assert isinstance(view, QTableView)
        columns = self._columns_of(model, option.font)
        width = view.columnWidth(index.column()) - 2 * PAD
        line = model.rows[index.row()]
        lines = sum(columns.lines(width, self._said(want)) for want in line.wants)
        lines += bool(foot_words(line, self._session))
        return QSize(300, round(_line_px(option.font) * max(lines, 2) + 2 * PAD))

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Each want in a line, its parts in columns."""
        model, view = index.model(), self.parent()
        assert isinstance(model, Table)
        assert isinstance(view, QWidget)
        colours = ink(view)
        rect, chosen = begin_cell(painter, option, colours)
        line_px = _line_px(option.font)
        columns = self._columns_of(model, option.font)
        painter.save()
        painter.setClipRect(option.rect)
        row = QRectF(rect.x(), rect.y(), rect.width(), line_px)
        for want in model.rows[index.row()].wants:
            self._paint_want(painter, row, option.font, want, columns, colours, chosen)
            row.translate(0.0, line_px * columns.lines(rect.width(), self._said(want)))
        self._paint_foot(painter, row, model, index.row(), option, chosen)
        if not model.rows[index.row()].wants and not model.rows[index.row()].over:
            painter.setPen(colours.on_chosen if chosen else colours.faint)
            painter.setFont(option.font)
            painter.drawText(rect, tr("no wants yet: Enter adds them"))
        painter.restore()

    def _paint_foot(
        self,
        painter: QPainter,
        foot: QRectF,
        model: Table[MarketDayOutlook],
        row: int,
        option: QStyleOptionViewItem,
        chosen: bool,
    ) -> None:
        view, line = self.parent(), model.rows[row]
        assert isinstance(view, QWidget)
        colours, text = ink(view), foot_words(line, self._session)
        painter.setFont(option.font)
        painter.setPen(colours.on_chosen if chosen else colours.faint)
        metrics = QFontMetricsF(option.font)
        shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, foot.width())
        painter.drawText(foot, Qt.AlignmentFlag.AlignVCenter, shown)

    def has_bars(self, model: Table[MarketDayOutlook], font: QFont, cell_px: float) -> bool:
        """Whether a cell of that width has room for bars."""
        return self._columns_of(model, font).bar_px(cell_px - 2 * PAD) > 0.0

    def _columns_of(self, model: Table[MarketDayOutlook], font: QFont) -> WantParts:
        # A list may be asked for its size between the page's larger letters and its own.
        if self._columns is None or font != self._measured_in:
            self._columns, self._measured_in = self._measure(model, font), QFont(font)
        return self._columns

    def forget_measures(self) -> None:
        """Measure the texts anew: called when the table has changed."""
        self._columns = None

    def _measure(self, model: Table[MarketDayOutlook], font: QFont) -> WantParts:
        """As wide as the longest text of each column: nothing is cut while there is room."""
        metrics, heavy = QFontMetricsF(font), QFontMetricsF(bold(font))
        widest = [0.0] * _PARTS
        most = 1.0
        for line in model.rows:
            for want in line.wants:
                for n, (text, strong) in enumerate(self._texts(want)):
                    width = (heavy if strong else metrics).horizontalAdvance(text)
                    widest[n] = max(widest[n], width + GAP if text else 0.0)
                if want.supply is not None:
                    most = max(most, want.supply.high, want.supply.wanted)
        return WantParts(tuple(widest), _BAR_AT, most * 1.02)

    def _said(self, line: WantOutlook) -> list[bool]:
        return [bool(text) for text, _ in self._texts(line)]

    def _texts(self, line: WantOutlook) -> list[tuple[str, bool]]:
        """Crop, wanted, planned, ready, verdict and risk, each with whether it is emphasised.

        Of a day that has begun: crop, wanted, packed. Of one that is over: crop, wanted, brought,
        sold, and what became of the rest.
        """
        words, supply = self._session.words, line.supply
        wanted = asked_words(line.want, words) if line.want is not None else ""
        texts = [(line.crop, False), (wanted, False)]
        if supply is None:
            said = sale_words(line.sale, words) if line.sale is not None else []
            if line.packed is not None:
                said = [packed_words(line.packed, words)]
            if line.sale is not None and line.sale.brought is None:
                said.insert(0, "")
            texts += [(text, False) for text in said]
            return texts + [("", False)] * (_PARTS - len(texts))
        short = supply.verdict is Verdict.SHORT
        planned = risk = ""
        if line.planned is not None:
            planned, risk = planned_words(line.planned, words), risk_words(line.planned, words)
            mark = {Risk.LITTLE: "", Risk.SOME: "△ ", Risk.GREAT: "▲ "}[line.planned.at_risk]
            risk = mark + risk
        return [
            *texts,
            (planned, False),
            (ready_words(supply, words), False),
            (verdict_words(supply, words), short),
            (risk, risk.startswith("▲")),
        ]

    def _paint_want(
        self,
        painter: QPainter,
        row: QRectF,
        font: QFont,
        line: WantOutlook,
        columns: WantParts,
        colours: Palette,
        chosen: bool,
    ) -> None:
        bar, cells = columns.cells(row)
        if painter.layoutDirection() == Qt.LayoutDirection.RightToLeft:
            bar, cells = _mirrored(bar, row), [_mirrored(cell, row) for cell in cells]
        if line.supply is not None and bar.width() > 0.0:
            if chosen and colours.chosen == colours.text:  # high contrast: bars need their paper
                painter.fillRect(bar.adjusted(-3, 0, 3, 0), colours.paper)
            paint_balance(painter, bar, line.supply, columns.most, colours)
        ahead = line.supply is not None or line.packed is not None
        plain = colours.text if ahead else colours.faint
        painter.setPen(colours.on_chosen if chosen else plain)
        for cell, (text, strong) in zip(cells, self._texts(line), strict=True):
            used = bold(font) if strong else font
            painter.setFont(used)
            shown = QFontMetricsF(used).elidedText(text, Qt.TextElideMode.ElideRight, cell.width())
            painter.drawText(cell, Qt.AlignmentFlag.AlignVCenter, shown)


def paint_balance(
    painter: QPainter, rect: QRectF, supply: Supply, full_scale: float, ink: Palette
) -> None:
    """Draw the ready range as a bar with a tick at what is expected, and a stake at the wanted.

    Solid up to the low end (sure), light up to the high end (may be); the stake stands taller than
    the bar, so it shows on either side of it. ``full_scale`` is the count at the right edge.
    """
    scale = rect.width() / max(full_scale, 1.0)
    bar = rect.adjusted(0, rect.height() * 0.25, 0, -rect.height() * 0.25)
    low, high = supply.low * scale, max(supply.high * scale, 1.0)
    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QBrush(ink.holding))
    painter.drawRect(QRectF(bar.x(), bar.y(), high, bar.height()))
    painter.setBrush(QBrush(ink.ready))
    painter.drawRect(QRectF(bar.x(), bar.y(), low, bar.height()))
    painter.setPen(QPen(ink.outline, 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(QRectF(bar.x() + 0.5, bar.y() + 0.5, high - 1.0, bar.height() - 1.0))
    expected = bar.x() + supply.ready * scale
    painter.setPen(QPen(ink.paper if supply.ready * scale < low else ink.text, 1.0))
    painter.drawLine(QPointF(expected, bar.top()), QPointF(expected, bar.bottom()))
    stake = rect.x() + min(supply.wanted * scale, rect.width() - 1.0)
    painter.setPen(QPen(ink.text, 2.0))
    painter.drawLine(QPointF(stake, rect.top()), QPointF(stake, rect.bottom()))
    painter.restore()


def _mirrored(cell: QRectF, row: QRectF) -> QRectF:
    """The part of a row as it stands where lines are read from right to left."""
    return cell.translated(row.left() + row.right() - cell.left() - cell.right(), 0.0)


def _line_px(font: QFont) -> float:
    return QFontMetricsF(font).height() * 1.35

"""A cultivar's pace as a bar: what the book left open, and what checks left of that."""

import math

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from ripenroom.season.learned import LearnedRate
from ripenroom.window.theme import ink

_SLOWEST, _FASTEST = 0.4, 2.5
"""Ends of the scale, in times as fast as the book; a factor is a length on it."""


class RateBar(QWidget):
    """Outline: the book's 80 % range. Solid: the range now, with a mark at the best estimate.

    The line down the middle is "as fast as the book". What it shows stands beside it in words.
    """

    def __init__(self, rate: LearnedRate, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rate = rate
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """As high as a line of text."""
        return QSize(
            self.fontMetrics().horizontalAdvance("n") * 22, self.minimumSizeHint().height()
        )

    def minimumSizeHint(self) -> QSize:
        """Narrow windows have little room for it."""
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance("n") * 8, round(metrics.height() * 1.4))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw both ranges on one scale."""
        colours, rate = ink(self), self._rate
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        high = float(self.height())
        middle = self._x(1.0)
        painter.setPen(QPen(colours.line, 1))
        painter.drawLine(0, round(high / 2), self.width(), round(high / 2))
        painter.setPen(QPen(colours.faint, 1, Qt.PenStyle.DashLine))
        painter.drawLine(round(middle), 0, round(middle), self.height())
        painter.setPen(QPen(colours.outline, 1.4))
        painter.drawRect(self._rect(rate.book_low, rate.book_high, 0.18 * high, 0.82 * high))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colours.ready)
        painter.drawRect(self._rect(rate.factor.low, rate.factor.high, 0.36 * high, 0.64 * high))
        painter.setPen(QPen(colours.text, 2.4))
        x = round(self._x(rate.factor.mid))
        painter.drawLine(x, round(0.08 * high), x, round(0.92 * high))

    def _rect(self, low: float, high: float, top: float, bottom: float) -> QRectF:
        left = self._x(low)
        return QRectF(left, top, max(1.0, self._x(high) - left), bottom - top)

    def _x(self, factor: float) -> float:
        inside = min(max(factor, _SLOWEST), _FASTEST)
        share = math.log(inside / _SLOWEST) / math.log(_FASTEST / _SLOWEST)
        return 2.0 + share * (self.width() - 4.0)

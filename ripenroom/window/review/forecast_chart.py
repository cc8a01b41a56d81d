"""How past forecasts turned out, each as a dot against the range that it gave."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from ripenroom.season.learning.calibration_found import RANGE_Z, CheckedForecast
from ripenroom.window.theme import ink
from ripenroom.window.wording import Wording

_LEAST_SDS, _MOST_SDS = 2.2, 4.0
"""Ends of the scale: as far as the farthest dot, but within these."""


class ForecastChart(QWidget):
    """Time to the right; up is softer than forecast. In the band the 80 % range held.

    Filled dots held, rings did not. The same is told in words beside it.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: Sequence[CheckedForecast] = ()
        self._words: Wording | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_rows(self, rows: Sequence[CheckedForecast], words: Wording) -> None:
        """Draw these forecasts."""
        self.rows, self._words = rows, words
        self.update()

    def sizeHint(self) -> QSize:
        """Some ten lines of text high."""
        line = self.fontMetrics().height()
        return QSize(30 * line, 12 * line)

    def minimumSizeHint(self) -> QSize:
        """As high, but as narrow as need be."""
        return QSize(10 * self.fontMetrics().height(), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the band, the words at its sides, and the dots."""
        words, rows = self._words, self.rows
        if words is None or not rows:
            return
        colours, line = ink(self), float(self.fontMetrics().height())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        area = QRectF(0.0, 1.3 * line, float(self.width()), self.height() - 4.2 * line)
        first, last = rows[0].at_h, max(rows[-1].at_h, rows[0].at_h + 24.0)

        farthest = max(abs(row.z) for row in rows) * 1.1
        sds = min(max(farthest, _LEAST_SDS), _MOST_SDS)

        def at(row: CheckedForecast) -> QPointF:
            share = 0.5 if len(rows) == 1 else (row.at_h - first) / (last - first)
            x = area.left() + line + share * (area.width() - 2.0 * line)
            z = min(max(row.z, -sds), sds)
            return QPointF(x, area.center().y() - z / sds * area.height() / 2.0)

        half = RANGE_Z / sds * area.height() / 2.0
        band = QRectF(area.left(), area.center().y() - half, area.width(), 2.0 * half)
        painter.fillRect(band, colours.band)
        painter.setPen(QPen(colours.faint, 1, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(area.left(), area.center().y()), _right(area))
        painter.setPen(colours.faint)
        above = QRectF(0.0, 0.0, area.width(), 1.2 * line)
        below = QRectF(0.0, area.bottom(), area.width(), 1.2 * line)
        left, right = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
        painter.drawText(above, left, self.tr("↑ softer than forecast"))
        painter.drawText(below, left, self.tr("↓ firmer than forecast"))
        painter.drawText(above, right, self.tr("shaded: the 80 % range"))
        days = QRectF(0.0, self.height() - 1.4 * line, area.width(), 1.3 * line)
        painter.drawText(days, left, words.short_day(first))
        if len(rows) > 1:
            painter.drawText(days, right, words.short_day(rows[-1].at_h))
        for row in rows:
            painter.setPen(QPen(colours.text, 1.6))
            painter.setBrush(colours.ready if row.inside else colours.paper)
            painter.drawEllipse(at(row), 0.32 * line, 0.32 * line)


def _right(area: QRectF) -> QPointF:
    return QPointF(area.right(), area.center().y())

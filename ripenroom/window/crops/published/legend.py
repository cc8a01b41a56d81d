"""What the signs of the picture mean, drawn and in words."""

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from ripenroom.window.crops.published.picture import (
    paint_bar,
    paint_cross,
    paint_range,
    paint_rounding,
)
from ripenroom.window.forms.flow import FlowLayout
from ripenroom.window.theme import ink

_GAP_PX = 6


class Legend(QWidget):
    """The three signs, in as many rows as there is room for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = FlowLayout(spacing=14)
        for sign, text in (
            ("published", self.tr("published; thin: give or take rounding")),
            ("ours", self.tr("program, 80 % range")),
            ("missed", self.tr("missed")),
        ):
            row.addWidget(_Sign(sign, text, self))
        self.setLayout(row)


class _Sign(QWidget):
    """One sign and its word."""

    def __init__(self, sign: str, text: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._sign, self._text = sign, text
        self.setAccessibleName(text)

    def sizeHint(self) -> QSize:
        """The sign, three letters wide, and the word."""
        metrics = self.fontMetrics()
        wide = self._sign_px() + _GAP_PX + metrics.horizontalAdvance(self._text)
        return QSize(wide, metrics.height() + 2)

    def _sign_px(self) -> int:
        return self.fontMetrics().height() * (1 if self._sign == "missed" else 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw both."""
        painter, colours, high = QPainter(self), ink(self), float(self.fontMetrics().height())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(1.0, 0.0, self._sign_px() - 2.0, float(self.height()))
        y = box.center().y()
        if self._sign == "published":
            bar = QRectF(box.left() + 5.0, y - 0.36 * high, box.width() - 10.0, 0.72 * high)
            paint_rounding(
                painter, QRectF(box.left(), y - 0.16 * high, box.width(), 0.32 * high), colours
            )
            paint_bar(painter, bar, (False, False), colours)
        elif self._sign == "ours":
            ends = [box.left(), box.center().x(), box.right()]
            paint_range(painter, ends, y, 0.22 * high, False, False, colours)
        else:
            paint_cross(painter, QPointF(box.center().x(), y), 0.21 * high, colours)
        painter.setPen(colours.text)
        baseline = y + (self.fontMetrics().ascent() - self.fontMetrics().descent()) / 2.0
        painter.drawText(QPointF(self._sign_px() + _GAP_PX, baseline), self._text)
        painter.end()

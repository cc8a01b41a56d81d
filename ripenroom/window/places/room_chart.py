"""A small chart of what a place's thermometer read, over what the place was set to."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from ripenroom.season.projection import FloatColumn
from ripenroom.season.room_report import RoomPicture
from ripenroom.texts import tr
from ripenroom.window.plain import run_from_left, set_hint
from ripenroom.window.theme import ink
from ripenroom.wording.formats import Formats

_LINES_HIGH = 4.5
_AROUND = 0.08
_LEAST_SPAN_K = 2.0
_SOFT = 110
"""How opaque the band of readings is, of 255."""


class RoomChart(QWidget):
    """Readings as a band from the lowest to the highest around each hour; the set point broken."""

    def __init__(self, words: Formats, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        run_from_left(self)
        self._words = words
        self._picture: RoomPicture | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(tr("Temperatures read and set"))
        set_hint(
            self,
            tr("Band: what the thermometer read. Broken line: the set temperature. Empty: a gap."),
        )

    def sizeHint(self) -> QSize:
        """A few lines of text high."""
        high = self.fontMetrics().height()
        return QSize(20 * high, round(_LINES_HIGH * high))

    def minimumSizeHint(self) -> QSize:
        """Narrow, if it must be."""
        return QSize(8 * self.fontMetrics().height(), self.sizeHint().height())

    def show_picture(self, picture: RoomPicture | None, words: Formats) -> None:
        """Draw this; nothing for None."""
        self._picture = picture
        self._words = words
        self.setVisible(picture is not None)
        if picture is not None:
            self.setAccessibleDescription(
                tr("from {low} to {high}, set to {set}").format(
                    low=words.temperature(float(np.nanmin(picture.low_c))),
                    high=words.temperature(float(np.nanmax(picture.high_c))),
                    set=words.set_point(float(picture.set_point_c[-1])),
                )
            )
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw band, set point and the two scales' ends."""
        picture = self._picture
        if picture is None or not np.isfinite(picture.low_c).any():
            return
        painter = QPainter(self)
        run_from_left(painter)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        top, bottom = self._scale(picture)
        labels = [self._words.temperature(value) for value in (top, bottom)]
        metrics = self.fontMetrics()
        left = max(metrics.horizontalAdvance(label) for label in labels) + 8
        room = QRectF(left, 2, self.width() - left - 2, self.height() - metrics.height() - 4)
        colours = ink(self)
        painter.setPen(colours.faint)
        ends = (room.top(), room.bottom() - metrics.height())
        for label, above in zip(labels, ends, strict=True):
            place = QRectF(0, above, left - 6, metrics.height())
            painter.drawText(place, Qt.AlignmentFlag.AlignRight, label)
        foot = QRectF(left, room.bottom() + 2, room.width(), metrics.height())
        first, last = float(picture.hours[0]), float(picture.hours[-1])
        painter.drawText(foot, Qt.AlignmentFlag.AlignLeft, self._words.short_day(first))
        painter.drawText(foot, Qt.AlignmentFlag.AlignRight, self._words.short_day(last))
        painter.setPen(QPen(colours.line, 1.0))
        painter.drawRect(room)
        x = room.left() + (picture.hours - first) / max(last - first, 1e-9) * room.width()

        def y(celsius: FloatColumn) -> FloatColumn:
            return np.asarray(room.bottom() - (celsius - bottom) / (top - bottom) * room.height())

        band = QColor(colours.ready)
        painter.setPen(QPen(band, 1.5))
        band.setAlpha(_SOFT)
        painter.setBrush(band)
        low, high = y(picture.low_c), y(picture.high_c)
        for run in _runs(np.isfinite(picture.low_c)):
            there = [QPointF(*point) for point in zip(x[run], high[run], strict=True)]
            back = [QPointF(*point) for point in zip(x[run], low[run], strict=True)]
            painter.drawPolygon(QPolygonF([*there, *reversed(back)]))
        painter.setPen(QPen(colours.text, 1.5, Qt.PenStyle.DashLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        held = y(picture.set_point_c)
        painter.drawPolyline(QPolygonF([QPointF(*point) for point in zip(x, held, strict=True)]))
        painter.end()

    def _scale(self, picture: RoomPicture) -> tuple[float, float]:
        """Highest and lowest temperature (C) in sight."""
        low = float(min(np.nanmin(picture.low_c), picture.set_point_c.min()))
        high = float(max(np.nanmax(picture.high_c), picture.set_point_c.max()))
        more = max(_AROUND * (high - low), (_LEAST_SPAN_K - (high - low)) / 2.0)
        return high + more, low - more


def _runs(there: np.ndarray) -> list[slice]:
    """Stretches that are all there."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], there, [False]]).astype(int)))
    return [slice(first, last) for first, last in zip(edges[::2], edges[1::2], strict=True)]

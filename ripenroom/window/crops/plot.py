"""One plot of curves with their names written on them, and its numbers in words below.

Importing this module imports pyqtgraph, which takes longer than all the rest of the window.
"""

import math
from dataclasses import dataclass

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QRectF, QSizeF, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from ripenroom.season.projection import FloatColumn
from ripenroom.window.plain import PlainLabel, run_from_left
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import WrappedLabel

_SOFT = 60
"""How opaque the band of an 80 % range is, of 255."""
_NICE = (1.0, 2.0, 5.0)
_ELSEWHERE = (0.8, 0.6, 0.4, 0.25, 0.1)
"""Where on its curve a name may stand if another one is in the way, as a share of its length."""


@dataclass(frozen=True, slots=True)
class Line:
    """A named curve, perhaps with its range; what is compared is drawn ``dashed``.

    The name stands at index ``named_at``, or at the end, or where there is room for it.
    """

    name: str
    x: FloatColumn
    y: FloatColumn
    low: FloatColumn | None = None
    high: FloatColumn | None = None
    dashed: bool = False
    named_at: int | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A level across the plot, with its name."""

    name: str
    y: float


class _LogAxis(pg.AxisItem):  # type: ignore[misc]
    """Ticks at 1, 2, 5, 10 … of what is drawn as its logarithm."""

    def tickValues(self, minimum: float, maximum: float, size: float) -> object:
        first, last = math.floor(minimum), math.ceil(maximum)
        nice = [d + math.log10(n) for d in range(first, last + 1) for n in _NICE]
        return [(1.0, [tick for tick in nice if minimum <= tick <= maximum])]

    def tickStrings(self, values: list[float], _scale: float, _spacing: float) -> list[str]:
        return [f"{10**value:.2g}" if value < 2 else f"{10**value:.0f}" for value in values]


class CurvePlot(QWidget):
    """A heading, the plot, and a line of words that says the same to those who cannot see it."""

    def __init__(self, heading: str, *, log: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        run_from_left(self)
        self._log = log
        self._view = QRectF()
        self.heading = PlainLabel(heading, self)
        self.heading.setObjectName("sectionTitle")
        self.words = WrappedLabel(parent=self)
        self.words.setObjectName("faint")
        colours = ink(self)
        axes = {"left": _LogAxis("left")} if log else {}
        self.plot = pg.PlotWidget(axisItems=axes, background=colours.paper)
        self.plot.setMenuEnabled(False)
        self.plot.hideButtons()
        self.plot.setMouseEnabled(x=False, y=False)
        self.plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.plot.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.plot.setAccessibleName(heading)
        # The wheel scrolls the page that the plots stand on.
        self.plot.wheelEvent = lambda event: event.ignore()
        self._names: dict[str, str] = {}
        self._written: list[QRectF] = []
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 6)
        layout.setSpacing(2)
        layout.addWidget(self.heading)
        layout.addWidget(self.plot, 1)
        layout.addWidget(self.words)

    def name_axes(self, bottom: str, left: str) -> None:
        """Say what the axes measure."""
        self._names = {"bottom": bottom, "left": left}

    def draw(
        self,
        lines: list[Line],
        x_range: tuple[float, float],
        y_range: tuple[float, float],
        words: str,
        marks: tuple[Mark, ...] = (),
    ) -> None:
        """Draw these and nothing else."""
        colours = ink(self)
        self.words.setText(words)
        self.plot.setAccessibleDescription(words)
        self.plot.clear()
        self.plot.setBackground(colours.paper)
        for side, name in self._names.items():
            axis = self.plot.getAxis(side)
            axis.setPen(pg.mkPen(colours.line))
            axis.setTextPen(pg.mkPen(colours.faint))
            axis.setStyle(tickFont=self.font())
            axis.setLabel(name, color=colours.faint.name())
        self.plot.getAxis("left").setWidth(self.fontMetrics().horizontalAdvance("0") * 7)
        self.plot.setXRange(*x_range, padding=0)
        self.plot.setYRange(self._y(y_range[0]), self._y(y_range[1]), padding=0.03)
        self._view = QRectF(
            x_range[0],
            self._y(y_range[0]),
            x_range[1] - x_range[0],
            self._y(y_range[1]) - self._y(y_range[0]),
        )
        self._written = []
        for mark in marks:
            self._draw_mark(mark, x_range)
        for line in lines:
            self._draw_line(line, x_range, y_range)

    def _draw_mark(self, mark: Mark, x_range: tuple[float, float]) -> None:
        colours = ink(self)
        pen = pg.mkPen(colours.edge, width=1, style=Qt.PenStyle.DotLine)
        self.plot.addItem(pg.InfiniteLine(self._y(mark.y), angle=0, pen=pen))
        self._write(mark.name, x_range[1], self._y(mark.y), (1.0, 1.0), colours.faint)

    def _draw_line(
        self, line: Line, x_range: tuple[float, float], y_range: tuple[float, float]
    ) -> None:
        known = np.isfinite(line.y) & (line.x >= x_range[0]) & (line.x <= x_range[1])
        known &= line.y <= y_range[1]
        if not known.any():
            return
        colours = ink(self)
        x, y = line.x[known], self._ys(line.y[known], y_range[0])
        if line.low is not None and line.high is not None:
            band = QColor(colours.ready)
            band.setAlpha(_SOFT if not line.dashed else _SOFT // 2)
            low = self._ys(line.low[known], y_range[0])
            high = self._ys(np.nan_to_num(line.high[known], nan=y_range[1]), y_range[0])
            edge = pg.mkPen(band)
            curves = (pg.PlotDataItem(x, low, pen=edge), pg.PlotDataItem(x, high, pen=edge))
            self.plot.addItem(pg.FillBetweenItem(*curves, brush=pg.mkBrush(band)))
        style = Qt.PenStyle.DashLine if line.dashed else Qt.PenStyle.SolidLine
        colour = colours.text if line.dashed else colours.ready
        pen = pg.mkPen(colour, width=2, style=style)
        self.plot.addItem(pg.PlotDataItem(x, y, pen=pen))
        at = x.size - 1 if line.named_at is None else min(line.named_at, x.size - 1)
        tries = [at, *(int(share * (x.size - 1)) for share in _ELSEWHERE)]
        boxes = [self._box(line.name, x[n], y[n]) for n in tries]
        box = next((b for b in boxes if not any(b.intersects(w) for w in self._written)), boxes[0])
        n = tries[boxes.index(box)]
        self._write(line.name, x[n], y[n], (1.0 if box.left() < x[n] else 0.0, 1.0), colours.text)

    def _box(self, text: str, x: float, y: float) -> QRectF:
        """Where a name would stand at a point, in what the axes measure."""
        metrics = self.fontMetrics()
        wide = self._view.width() * (metrics.horizontalAdvance(text) + 8) / self._room_px().width()
        high = self._view.height() * metrics.height() / self._room_px().height()
        at_end = x + wide > self._view.right()
        return QRectF(x - wide if at_end else x, y, wide, high)

    def _room_px(self) -> QSizeF:
        """About how many pixels the curves have."""
        axes = self.plot.getAxis("left").width(), self.fontMetrics().height() * 3
        size = self.plot.size()
        return QSizeF(max(size.width() - axes[0], 50.0), max(size.height() - axes[1], 50.0))

    def _write(
        self, text: str, x: float, y: float, anchor: tuple[float, float], colour: QColor
    ) -> None:
        ground = QColor(ink(self).paper)
        ground.setAlpha(190)
        label = pg.TextItem(text, color=colour, anchor=anchor, fill=pg.mkBrush(ground))
        label.setFont(self.font())
        label.setPos(x, y)
        # A name must not widen what is in sight.
        self.plot.addItem(label, ignoreBounds=True)
        self._written.append(self._box(text, x, y))

    def _y(self, value: float) -> float:
        return math.log10(value) if self._log else value

    def _ys(self, values: FloatColumn, least: float) -> FloatColumn:
        return np.log10(np.maximum(values, least)) if self._log else values

"""A star and a word where the cold will spoil a batch before it is ready, unless it is moved."""

from typing import Final

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from ripenroom.season.projection import EndCause, FruitState, Projection
from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_batches import LOW, shelf_of, tallest
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, TimeView

_AIR_PX: Final = 3.0
"""Between the star and the line of now, and its word."""


def spoilt_by_cold(projection: Projection) -> npt.NDArray[np.bool_]:
    """Which batches the cold ends before they are ready, if they stay where they are."""
    cold = projection.ends_unready & (projection.end_cause == EndCause.CHILLING)
    there = (projection.left > 0.0) & (projection.state == FruitState.HOLDING)
    return np.asarray(cold & there)


def cold_words() -> str:
    """What stands beside the star."""
    return tr("cold spoils it")


def paint_cold(
    painter: QPainter,
    rect: QRectF,
    scene: Scene,
    view: TimeView,
    line_view: LineView,
    sizes: Sizes,
    ink: Palette,
) -> None:
    """Above the fruit of every such line in sight, at the day that is likeliest; where that may
    have begun, just after now. There no other mark stands: that fruit is low all along."""
    cold = spoilt_by_cold(scene.projection)
    rows = [row for row in line_view.painted(len(scene.order)) if cold[int(scene.order[row])]]
    if not rows:
        return
    said, metrics = cold_words(), QFontMetricsF(sizes.small)
    word_px, tall = metrics.horizontalAdvance(said), tallest(line_view, sizes)
    high = tall - round(tall * LOW)
    star = min(high, metrics.height()) * 0.4
    painter.save()
    painter.setClipRect(rect)
    painter.translate(rect.topLeft())
    painter.setFont(sizes.small)
    for row in rows:
        closes_h = float(scene.projection.closes_h.mid[int(scene.order[row])])
        x = max(view.x(closes_h), view.x(scene.now_h) + star + _AIR_PX)
        if x - star > rect.width():
            continue
        y = shelf_of(line_view, row, sizes) - tall + high / 2.0
        painter.setPen(QPen(ink.text, 1.4))
        paint_star(painter, QPointF(x, y), star)
        left = x + star + _AIR_PX
        if left + word_px > rect.width():
            left = x - star - _AIR_PX - word_px
        painter.setPen(ink.text)
        words = QRectF(left, y - metrics.height() / 2.0, word_px + 1.0, metrics.height())
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, said)
    painter.restore()


def paint_star(painter: QPainter, middle: QPointF, radius: float) -> None:
    """Three strokes through one point, as a crystal of ice has six arms."""
    for x, y in ((0.0, 1.0), (0.87, 0.5), (0.87, -0.5)):
        arm = QPointF(x * radius, y * radius)
        painter.drawLine(QLineF(middle - arm, middle + arm))

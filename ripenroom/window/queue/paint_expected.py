"""Draws picks that are expected: dashed, as nothing of them is in hand yet."""

from typing import Final

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from ripenroom.window.palette import Palette
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_batches import LOW, shelf_of, tallest
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.shapes import BEYOND_PX
from ripenroom.window.queue.time_view import LineView, TimeView

DRAWN_H: Final = 10 * 24.0
"""How long what is to come is drawn: nothing is known yet of when it closes."""


def paint_expected(
    painter: QPainter,
    rect: QRectF,
    scene: Scene,
    view: TimeView,
    line_view: LineView,
    sizes: Sizes,
    ink: Palette,
) -> None:
    """A dashed outline from the day of each expected pick on, open at its end."""
    rows = [row for row in line_view.painted(scene.rows) if row >= len(scene.order)]
    if not rows:
        return
    dashed = QPen(ink.outline, 1.2)
    dashed.setDashPattern([4.0, 3.0])
    painter.save()
    painter.setClipRect(rect)
    painter.translate(rect.topLeft())
    for row in rows:
        pick = scene.expected[row - len(scene.order)]
        shelf_y = shelf_of(line_view, row, sizes)
        low = round(tallest(line_view, sizes) * LOW)
        left = max(view.x(pick.picked_h), -BEYOND_PX)
        right = min(view.x(pick.picked_h + DRAWN_H), view.width_px + BEYOND_PX)
        painter.setPen(QPen(ink.line, 1.0))
        painter.drawLine(QLineF(0, shelf_y + 0.5, rect.width(), shelf_y + 0.5))
        painter.setPen(dashed)
        if right > left:
            painter.drawPolyline(
                [
                    QPointF(right, shelf_y - low + 0.5),
                    QPointF(left + 0.5, shelf_y - low + 0.5),
                    QPointF(left + 0.5, shelf_y - 0.5),
                ]
            )
            painter.setPen(ink.faint)
            painter.setFont(sizes.small)
            words = QRectF(left + 4.0, shelf_y - tallest(line_view, sizes), 200.0, 0.0)
            words.setBottom(shelf_y - low)
            painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, f"+{pick.count}")
    painter.restore()

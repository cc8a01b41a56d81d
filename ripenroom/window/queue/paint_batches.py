"""Draws the visible lines of the queue in one go, and those of expected picks, dashed.

What is off screen costs nothing.
"""

import math
from collections.abc import Container
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QImage, QPainter, QPen, QPolygonF

from ripenroom.window.palette import Palette
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.shapes import BEYOND_PX, Shapes, alphas, image, shapes_of
from ripenroom.window.queue.time_view import LineView, TimeView

FOOT_PX: Final = 3.0
"""Between a line's shelf, or the lane of its plan, and the next line's air."""
LOW: Final = 0.36
"""Height of fruit that is holding or past, as a share of the tallest."""
_POST_PX = 4.0
"""How far a gate's posts stand out of the fruit."""
_SHORTEST = 0.5
"""Height of ready fruit of which next to none is ready: still taller than what is holding."""


@dataclass(frozen=True, slots=True)
class Brushes:
    """What lines are drawn with, made once per paint."""

    holding: QBrush
    past: QBrush
    outline: QPen
    dashed: QPen
    ghost: QPen
    text: QPen
    paper: QBrush

    @classmethod
    def of(cls, ink: Palette) -> "Brushes":
        """The brushes and pens in these inks."""
        ghost = QPen(ink.text, 1.0)
        ghost.setDashPattern([2.0, 3.0])
        dashed = QPen(ink.outline, 1.0)
        dashed.setDashPattern([4.0, 3.0])
        return cls(
            holding=QBrush(ink.holding),
            past=QBrush(ink.past, Qt.BrushStyle.BDiagPattern),
            outline=QPen(ink.outline, 1.0),
            dashed=dashed,
            ghost=ghost,
            text=QPen(ink.text, 1.0),
            paper=QBrush(ink.paper),
        )


def shelf_of(line_view: LineView, row: int, sizes: Sizes) -> float:
    """Pixels from the top edge to the shelf on which a row's fruit stands."""
    return round(line_view.y(row + 1) - FOOT_PX - sizes.lane_px)


def tallest(line_view: LineView, sizes: Sizes) -> float:
    """Height of fruit that is all ready at once."""
    return line_view.line_px - sizes.lane_px - 2.0 * FOOT_PX - 1.0


def paint_lines(
    painter: QPainter,
    rect: QRectF,
    scene: Scene,
    view: TimeView,
    line_view: LineView,
    sizes: Sizes,
    ink: Palette,
    detailed: Container[int] = (),
) -> None:
    """Draw every line that ``line_view`` has painted into ``rect``.

    Where a gate opens is drawn for the ``detailed`` lines alone.
    """
    seen = line_view.painted(len(scene.order))
    if not seen:
        return
    lines = scene.order[seen]
    shapes = shapes_of(scene.projection, scene.facts, lines, view)
    softness = image(alphas(shapes, max(int(rect.width()), 1)), ink.ready)
    before = shapes_of(scene.ghost, scene.facts, lines, view) if scene.ghost is not None else None
    brushes = Brushes.of(ink)
    tall = tallest(line_view, sizes)
    painter.save()
    painter.setClipRect(rect)
    painter.translate(rect.topLeft())
    shelves = [
        QLineF(0, y, rect.width(), y)
        for y in (shelf_of(line_view, row, sizes) + 0.5 for row in seen)
    ]
    painter.setPen(QPen(ink.line, 1.0))
    painter.drawLines(shelves)
    for number, row in enumerate(seen):
        shelf_y = shelf_of(line_view, row, sizes)
        if not math.isnan(shapes.never[number]):
            _paint_never(painter, shapes, number, shelf_y, tall, brushes)
        else:
            _paint_line(painter, shapes, number, shelf_y, tall, softness, brushes)
            if int(lines[number]) in detailed:
                low = round(tall * LOW)
                _paint_gate(painter, float(shapes.gate[number]), shelf_y, low, brushes)
        if before is not None:
            _paint_ghost(painter, before, number, shelf_y, tall, brushes)
    painter.restore()


def _paint_line(
    painter: QPainter,
    shapes: Shapes,
    number: int,
    shelf_y: float,
    tall: float,
    softness: QImage,
    brushes: Brushes,
) -> None:
    low = round(tall * LOW)
    picked, ready_from = float(shapes.picked[number]), float(shapes.opens_low[number])
    full_from, full_to = float(shapes.full_from[number]), float(shapes.full_to[number])
    closed, tail = float(shapes.closes_high[number]), float(shapes.tail[number])
    top = shelf_y - low
    painter.setPen(brushes.outline)
    painter.fillRect(QRectF(picked, top, max(full_from - picked, 0.0), low), brushes.holding)
    painter.drawLine(QLineF(picked, top + 0.5, full_from, top + 0.5))
    painter.drawLine(QLineF(round(picked) + 0.5, top, round(picked) + 0.5, shelf_y))
    painter.fillRect(QRectF(full_to, top, max(tail - full_to, 0.0), low), brushes.past)
    painter.drawLine(QLineF(full_to, top + 0.5, tail, top + 0.5))
    high = round(tall * max(_SHORTEST, float(shapes.ready_share[number])))
    left, right = max(int(ready_from) - 1, 0), int(closed) + 2
    if right > left:
        source = QRectF(left, number, right - left, 1)
        painter.drawImage(QRectF(left, shelf_y - high, right - left, high), softness, source)
    best = float(shapes.best[number])
    if not math.isnan(best):
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(brushes.paper)
        top = shelf_y - high
        painter.drawPolygon(
            QPolygonF([QPointF(best - 4, top), QPointF(best + 4, top), QPointF(best, top + 6)])
        )


def _paint_gate(painter: QPainter, x: float, shelf_y: float, low: float, brushes: Brushes) -> None:
    """Two posts where what the fruit needs before it ripens is done."""
    if math.isnan(x):
        return
    painter.setPen(brushes.text)
    for post in (round(x) - 1.5, round(x) + 2.5):
        painter.drawLine(QLineF(post, shelf_y - low - _POST_PX, post, shelf_y))


def _paint_never(
    painter: QPainter,
    shapes: Shapes,
    number: int,
    shelf_y: float,
    tall: float,
    brushes: Brushes,
) -> None:
    low = round(tall * LOW)
    picked = float(shapes.picked[number])
    painter.setPen(brushes.dashed)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(
        QRectF(picked + 0.5, shelf_y - low + 0.5, float(shapes.never[number]) - picked, low - 1)
    )


def _paint_ghost(
    painter: QPainter,
    before: Shapes,
    number: int,
    shelf_y: float,
    tall: float,
    brushes: Brushes,
) -> None:
    opens, closes = float(before.opens[number]), float(before.closes[number])
    if math.isnan(opens) or math.isnan(closes):
        return
    high = round(tall * max(_SHORTEST, float(before.ready_share[number])))
    painter.setPen(brushes.ghost)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(QRectF(round(opens) + 0.5, shelf_y - high - 1.5, closes - opens, high + 1))


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

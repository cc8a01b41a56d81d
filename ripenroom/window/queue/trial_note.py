"""Draws what a trial costs beside the pointer, or beside the grip that the keyboard moves."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from ripenroom.window.fonts import bold
from ripenroom.window.inks import Ink
from ripenroom.window.queue.layout import Sizes

_PAD_PX = 6.0
_BESIDE_PX = 14.0


def paint_note(
    painter: QPainter,
    room: QRectF,
    at: QPointF,
    lines: Sequence[str],
    strong: str,
    sizes: Sizes,
    ink: Ink,
) -> None:
    """A note whose corner is beside ``at``, kept inside the room; the line ``strong`` is heavy."""
    heavy = bold(sizes.small)
    fonts = [heavy if text == strong else sizes.small for text in lines]
    widths = (QFontMetricsF(f).horizontalAdvance(t) for f, t in zip(fonts, lines, strict=True))
    width = min(max(widths, default=0.0) + 2.0 * _PAD_PX, room.width())
    height = len(lines) * sizes.small_px + 2.0 * _PAD_PX
    x = min(at.x() + _BESIDE_PX, room.right() - width - 1.0)
    y = at.y() + _BESIDE_PX
    if y + height >= room.bottom():
        y = max(at.y() - _BESIDE_PX - height, room.top())
    box = QRectF(round(x) + 0.5, round(y) + 0.5, round(width), round(height))
    painter.save()
    painter.setPen(QPen(ink.text, 1.0))
    painter.setBrush(ink.paper)
    painter.drawRect(box)
    painter.setClipRect(box)
    ascent = QFontMetricsF(sizes.small).ascent()
    for number, (text, font) in enumerate(zip(lines, fonts, strict=True)):
        painter.setFont(font)
        painter.drawText(
            QPointF(box.x() + _PAD_PX, box.y() + _PAD_PX + number * sizes.small_px + ascent), text
        )
    painter.restore()

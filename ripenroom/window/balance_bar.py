"""A bar for what a market day wants and what will be ready for it."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen

from ripenroom.season.findings import Supply
from ripenroom.window.palette import Palette


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

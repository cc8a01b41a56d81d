"""Draws what lies under and over the lines: shaded days, bands of market days, the past, now."""

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from ripenroom.window.inks import Ink
from ripenroom.window.queue.days import Days
from ripenroom.window.queue.geometry import TimeView
from ripenroom.window.queue.layout import Layout
from ripenroom.window.queue.scene import Band

_SHADED_BY_WEEK_BELOW_PX = 14.0
_BAND_LEAST_PX = 3.0


def paint_days(painter: QPainter, layout: Layout, days: Days, ink: Ink) -> None:
    """Every other day slightly shaded; every other week where days would flicker."""
    shade = QColor(ink.panel)
    shade.setAlpha(150)
    by_week = days.width_px < _SHADED_BY_WEEK_BELOW_PX
    area = layout.lines
    for n in range(len(days)):
        day = days.day(n)
        if (day.isocalendar().week if by_week else day.toordinal()) % 2:
            left, right = float(days.edges_x[n]), float(days.edges_x[n + 1])
            stripe = QRectF(area.x() + left, area.y(), right - left, area.height())
            painter.fillRect(stripe & area, shade)


def paint_bands(
    painter: QPainter, layout: Layout, bands: tuple[Band, ...], view: TimeView, ink: Ink
) -> None:
    """Each market day from the foot of its label down through all lines."""
    area = layout.lines.adjusted(0, -layout.axis_px, 0, 0)
    painter.setPen(QPen(ink.edge, 1.0, Qt.PenStyle.DotLine))
    for band in bands:
        left, right = area.x() + view.x(band.first_h), area.x() + view.x(band.last_h)
        if right < area.left() or left > area.right():
            continue
        stripe = QRectF(left, area.y(), max(right - left, _BAND_LEAST_PX), area.height())
        painter.fillRect(stripe & area, ink.band)
        for x in (round(stripe.left()) + 0.5, round(stripe.right()) - 0.5):
            if area.left() <= x <= area.right():
                painter.drawLine(QLineF(x, area.top(), x, area.bottom()))


def paint_past(painter: QPainter, layout: Layout, now_x: float, ink: Ink) -> None:
    """The page's colour laid thinly over all that lies before now."""
    veil = QColor(ink.paper)
    veil.setAlpha(130)
    area = layout.lines
    if now_x > 0:
        painter.fillRect(QRectF(area.x(), area.y(), min(now_x, area.width()), area.height()), veil)


def now_box(layout: Layout, now_x: float, label_px: float, label_high_px: float) -> QRectF:
    """Where the present moment is named, in the months' row; empty while it is out of sight."""
    if not -1.0 <= now_x <= layout.lines.width():
        return QRectF()
    x = round(layout.lines.x() + now_x)
    top = layout.header.bottom() - layout.axis_px + 1.0
    width = label_px + 10.0
    return QRectF(min(x, layout.header.right() - width), top, width, label_high_px + 2.0)


def paint_now(
    painter: QPainter, layout: Layout, now_x: float, box: QRectF, label: str, ink: Ink
) -> None:
    """The line of the present moment through all lines, and its label."""
    if box.isEmpty():
        return
    x = round(layout.lines.x() + now_x) + 0.5
    painter.setPen(QPen(ink.now, 2.0))
    painter.drawLine(QLineF(x, box.top(), x, layout.lines.bottom()))
    painter.fillRect(box, ink.now)
    painter.setPen(ink.paper)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, label)

"""The drawings beside the first steps: the program's own marks, with invented fruit."""

from collections.abc import Callable

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QLinearGradient, QPainter, QPen, QPolygonF

from ripenroom.window.palette import Palette

WIDTH_PX, HEIGHT_PX = 176, 84
"""Logical pixels of a drawing."""
_SHARPNESS = 2.0
"""Pixels drawn for a logical one, so that it is sharp on a fine screen and on paper."""


def drawing(name: str, ink: Palette) -> QImage:
    """The drawing of that name, on the colour of the page."""
    image = QImage(
        int(WIDTH_PX * _SHARPNESS), int(HEIGHT_PX * _SHARPNESS), QImage.Format.Format_RGB32
    )
    image.setDevicePixelRatio(_SHARPNESS)
    image.fill(ink.paper)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _DRAWINGS[name](painter, ink)
    painter.end()
    return image


def _feels(painter: QPainter, ink: Palette) -> None:
    """Four fruit, from hard to soft, each fuller than the last, and how many there are."""
    for n, count in enumerate("3962"):
        fruit = QRectF(8.0 + 42.0 * n, 14.0, 30.0, 38.0)
        painter.setPen(QPen(ink.outline, 1.5))
        painter.setBrush(ink.paper)
        painter.drawEllipse(fruit)
        painter.save()
        painter.setClipRect(fruit.adjusted(0, fruit.height() * (1.0 - n / 3.0), 0, 0))
        painter.setBrush(ink.holding if n < 3 else ink.ready)
        painter.drawEllipse(fruit)
        painter.restore()
        painter.setPen(ink.text)
        painter.drawText(
            QRectF(fruit.x(), 56.0, fruit.width(), 20.0), Qt.AlignmentFlag.AlignCenter, count
        )


def _window(painter: QPainter, ink: Palette) -> None:
    """One bar that is not ready, ready and past, with soft ends, on a line of days."""
    _days(painter, ink, 68.0)
    _bar(painter, ink, QRectF(10.0, 26.0, 156.0, 18.0), 0.35, 0.75, 0.10)


def _places(painter: QPainter, ink: Palette) -> None:
    """A cold and a warm shelf: the same crate is good late on the one and soon on the other."""
    for top, opens, closes, colder in ((14.0, 0.62, 0.95, True), (50.0, 0.15, 0.45, False)):
        crate = QRectF(8.0, top, 22.0, 16.0)
        painter.setPen(QPen(ink.text, 1.2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(crate)
        painter.drawLine(
            QLineF(crate.left(), crate.center().y(), crate.right(), crate.center().y())
        )
        painter.drawText(
            QRectF(32.0, top - 2.0, 24.0, 20.0),
            Qt.AlignmentFlag.AlignCenter,
            "−" if colder else "+",
        )
        _bar(painter, ink, QRectF(60.0, top, 108.0, 16.0), opens, closes, 0.06)
    painter.setPen(QPen(ink.line, 1.0))
    painter.drawLine(QLineF(6.0, 41.5, 170.0, 41.5))


def _market(painter: QPainter, ink: Palette) -> None:
    """Two bars that meet a market day's band, one of them by a move on an evening before."""
    band = QRectF(118.0, 4.0, 24.0, 76.0)
    painter.fillRect(band, ink.band)
    painter.setPen(QPen(ink.edge, 1.0))
    painter.drawRect(band)
    _bar(painter, ink, QRectF(10.0, 18.0, 158.0, 14.0), 0.55, 0.95, 0.06)
    _bar(painter, ink, QRectF(10.0, 52.0, 158.0, 14.0), 0.62, 0.92, 0.06)
    painter.setPen(QPen(ink.text, 1.5))
    painter.setBrush(ink.text)
    painter.drawLine(QLineF(64.0, 40.0, 64.0, 66.0))
    painter.drawPolygon(QPolygonF([QPointF(60.0, 48.0), QPointF(68.0, 48.0), QPointF(64.0, 53.0)]))
    for y in (25.0, 59.0):
        painter.setBrush(ink.paper)
        painter.drawRect(QRectF(band.center().x() - 5.0, y - 5.0, 10.0, 10.0))


def _check(painter: QPainter, ink: Palette) -> None:
    """A ticked box and an open one; a vague bar, and below it the same made surer."""
    for top, ticked in ((10.0, True), (46.0, False)):
        box = QRectF(10.0, top + 2.0, 14.0, 14.0)
        painter.setPen(QPen(ink.text, 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        if ticked:
            tick = [QPointF(12.5, top + 9.0), QPointF(16.0, top + 13.0), QPointF(22.0, top + 4.5)]
            painter.drawPolyline(QPolygonF(tick))
    _bar(painter, ink, QRectF(36.0, 12.0, 132.0, 14.0), 0.4, 0.75, 0.22)
    _bar(painter, ink, QRectF(36.0, 48.0, 132.0, 14.0), 0.5, 0.72, 0.05)


def _days(painter: QPainter, ink: Palette, y: float) -> None:
    painter.setPen(QPen(ink.line, 1.0))
    painter.drawLine(QLineF(8.0, y, 168.0, y))
    for n in range(9):
        painter.drawLine(QLineF(8.0 + 20.0 * n, y - 3.0, 8.0 + 20.0 * n, y + 3.0))


def _bar(
    painter: QPainter, ink: Palette, rect: QRectF, opens: float, closes: float, doubt: float
) -> None:
    """A batch: not ready, ready between two shares of its length, then past; edges as soft as the
    dates are doubtful."""
    ready = QLinearGradient(rect.topLeft(), rect.topRight())
    shares = (opens - doubt, opens + doubt, closes - doubt, closes + doubt)
    clear = QColor(ink.paper)
    for at, colour in zip(shares, (ink.holding, ink.ready, ink.ready, clear), strict=True):
        ready.setColorAt(min(max(at, 0.0), 1.0), colour)
    painter.fillRect(rect, ready)
    past = QRectF(rect)
    past.setLeft(rect.left() + rect.width() * min(closes + doubt, 1.0))
    if past.width() > 4.0:
        _hatched(painter, ink, past)


def _hatched(painter: QPainter, ink: Palette, rect: QRectF) -> None:
    """Past fruit. Qt's own hatching is by pixels of the screen: too fine for a sharp drawing."""
    painter.save()
    painter.setPen(QPen(ink.outline, 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(rect)
    painter.setClipRect(rect)
    for n in range(int((rect.width() + rect.height()) / 5.0)):
        x = rect.left() + 5.0 * n
        painter.drawLine(QLineF(x, rect.top(), x - rect.height(), rect.bottom()))
    painter.restore()


_DRAWINGS: dict[str, Callable[[QPainter, Palette], None]] = {
    "feels": _feels,
    "window": _window,
    "places": _places,
    "market": _market,
    "check": _check,
}

"""Text on paper that is measured in millimetres, and QR codes (ISO/IEC 18004)."""

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter

_SMALLEST_MM = 6.0 * 25.4 / 72.0
"""Six points: smaller print is no help to anybody."""

_FINE = 20.0
"""Fonts are measured in units of a twentieth millimetre: Qt rounds the size of tiny fonts."""


def write_line(
    painter: QPainter,
    place: QRectF,
    text: str,
    font: QFont,
    *,
    bold: bool = False,
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
) -> None:
    """One line, as large as its place allows in height and width, elided if it still is longer.

    One unit of the painter is a millimetre.
    """
    fitting = QFont(font)
    fitting.setBold(bold)
    pixels = place.height() * 0.78 * _FINE
    smallest = min(_SMALLEST_MM * _FINE, pixels)
    while True:
        fitting.setPixelSize(max(int(pixels), 1))
        wide = QFontMetricsF(fitting).horizontalAdvance(text)
        if wide <= place.width() * _FINE or pixels <= smallest:
            break
        pixels = max(smallest, min(pixels - 1, pixels * place.width() * _FINE / wide))
    metrics = QFontMetricsF(fitting)
    shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, place.width() * _FINE)
    spare = place.width() * _FINE - metrics.horizontalAdvance(shown)
    shift = {Qt.AlignmentFlag.AlignRight: spare, Qt.AlignmentFlag.AlignHCenter: spare / 2}
    painter.save()
    painter.translate(place.topLeft())
    painter.scale(1 / _FINE, 1 / _FINE)
    painter.setFont(fitting)
    painter.drawText(QPointF(shift.get(align, 0.0), metrics.ascent()), shown)
    painter.restore()


def lines_of(text: str, width_mm: float, height_mm: float, font: QFont, *, bold: bool) -> list[str]:
    """A text broken between words into lines that :func:`write_line` need not shrink."""
    full = QFont(font)
    full.setBold(bold)
    full.setPixelSize(max(int(height_mm * 0.78 * _FINE), 1))
    metrics = QFontMetricsF(full)
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and metrics.horizontalAdvance(longer) > width_mm * _FINE:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


QUIET_MODULES = 4
"""Empty modules around the code, as the standard asks for."""


@lru_cache(maxsize=256)
def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """The code's rows of modules, dark ones True, without the quiet zone."""
    import segno

    code = segno.make_qr(text, error="m")
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def paint_qr(painter: QPainter, square: QRectF, text: str) -> None:
    """Paint the code of ``text`` with its quiet zone into a square."""
    rows = modules(text)
    step = square.width() / (len(rows) + 2 * QUIET_MODULES)
    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(Qt.GlobalColor.black)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    for y, row in enumerate(rows):
        start = None
        # Neighbours as one bar: between two rectangles a printer may leave a hairline.
        for x, dark in enumerate((*row, False)):
            if dark and start is None:
                start = x
            elif not dark and start is not None:
                painter.drawRect(
                    QRectF(
                        square.left() + (QUIET_MODULES + start) * step,
                        square.top() + (QUIET_MODULES + y) * step,
                        (x - start) * step,
                        step,
                    )
                )
                start = None
    painter.restore()

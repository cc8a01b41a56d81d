"""Draws a QR code (ISO/IEC 18004), as a square of whole modules."""

from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

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

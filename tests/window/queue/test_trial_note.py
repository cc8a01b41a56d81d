"""The note of a trial stays in sight."""

import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from ripenroom.window.palette import LIGHT
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.trial import paint_note

LINES = ["3 crates: pull Sun 27 Sep", "costs 14.20 USD"]


def frame(qapp: QApplication, at: QPointF, lines: list[str] = LINES) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of what was painted."""
    image = QImage(400, 300, QImage.Format.Format_RGB32)
    image.fill(LIGHT.band)
    painter = QPainter(image)
    sizes = Sizes.of(qapp.font())
    paint_note(painter, QRectF(0, 0, 400, 300), at, lines, "costs 14.20 USD", sizes, LIGHT)
    painter.end()
    ground = LIGHT.band.rgb()
    touched = [(x, y) for x in range(400) for y in range(300) if image.pixel(x, y) != ground]
    xs, ys = [x for x, _ in touched], [y for _, y in touched]
    return min(xs), min(ys), max(xs), max(ys)


def test_it_stands_beside_the_pointer(qapp: QApplication) -> None:
    left, top, right, bottom = frame(qapp, QPointF(50, 50))
    assert 50 < left < 80
    assert 50 < top < 80
    assert right < 399
    assert bottom < 299


@pytest.mark.parametrize("at", [QPointF(395, 295), QPointF(395, 5), QPointF(5, 295)])
def test_at_the_edges_it_is_whole_and_not_under_the_pointer(
    qapp: QApplication, at: QPointF
) -> None:
    inner = frame(qapp, QPointF(50, 50))
    left, top, right, bottom = frame(qapp, at)
    assert (right - left, bottom - top) == (inner[2] - inner[0], inner[3] - inner[1])
    assert not (left <= at.x() <= right and top <= at.y() <= bottom)

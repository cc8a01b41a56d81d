"""The four states differ in black and white."""

import itertools

import numpy as np
import numpy.typing as npt
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from ripenroom.season.projection import FruitState
from ripenroom.window.palette import INKS, Palette, paint_mark


def grey(state: FruitState, colours: Palette) -> npt.NDArray[np.float64]:
    """The mark as a grey picture, from 0 to 1."""
    image = QImage(36, 24, QImage.Format.Format_RGB32)
    image.fill(colours.paper)
    painter = QPainter(image)
    paint_mark(painter, QRectF(0, 0, 36, 24), state, colours)
    painter.end()
    image = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = [[image.pixelColor(x, y).lightnessF() for x in range(36)] for y in range(24)]
    return np.array(rows)


@pytest.mark.parametrize("colours", INKS)
def test_no_two_states_look_alike_in_grey(qapp: QApplication, colours: Palette) -> None:
    pictures = {state: grey(state, colours) for state in FruitState}
    for one, other in itertools.combinations(FruitState, 2):
        assert np.abs(pictures[one] - pictures[other]).mean() > 0.04, (one, other)

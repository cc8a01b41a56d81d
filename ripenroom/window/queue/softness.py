"""Soft edges: how sure the forecast is that a batch is ready, pixel by pixel.

All visible lines become one image of a row each, which the painter stretches to the height of a
line: one numpy expression for the whole screen instead of a gradient for every edge.
"""

import numpy as np
import numpy.typing as npt
from PySide6.QtGui import QColor, QImage

from ripenroom.season.projection import FloatColumn
from ripenroom.window.queue.shapes import Shapes

Alphas = npt.NDArray[np.uint8]


def alphas(shapes: Shapes, width_px: int) -> Alphas:
    """Opacity of "ready" for each line and pixel, shape (lines, width_px).

    It climbs from 0 at the low end of the opening range over one half at the best estimate to 1 at
    where it is full, and falls likewise over the closing range.
    """
    x: FloatColumn = np.arange(width_px, dtype=np.float64) + 0.5
    opened = _climb(x, shapes.opens_low, shapes.opens, shapes.full_from)
    closed = _climb(x, shapes.full_to, shapes.closes, shapes.closes_high)
    return np.nan_to_num(opened * (1.0 - closed) * 255.0 + 0.5).astype(np.uint8)


def image(opacity: Alphas, colour: QColor) -> QImage:
    """One pixel row of ``colour`` per line, as opaque as ``opacity`` says."""
    levels = np.arange(256, dtype=np.uint32)
    ramp = levels << 24
    for shift, part in ((16, colour.red()), (8, colour.green()), (0, colour.blue())):
        ramp |= ((levels * part + 127) // 255) << shift
    pixels = np.ascontiguousarray(ramp[opacity])
    lines, width = pixels.shape
    if not lines or not width:
        return QImage()
    shown = QImage(pixels.data, width, lines, width * 4, QImage.Format.Format_ARGB32_Premultiplied)
    return shown.copy()  # the numpy buffer does not outlive this call


def _climb(
    x: FloatColumn, low: FloatColumn, mid: FloatColumn, high: FloatColumn
) -> npt.NDArray[np.float64]:
    """From 0 to 1 with level ends; ``mid`` is half way up, however lopsided the range."""
    low, mid, high = low[:, None], mid[:, None], high[:, None]
    # A range without width is a hard edge, one pixel soft.
    before = np.clip((x - mid) / np.maximum(mid - low, 0.5) * 0.5 + 0.5, 0.0, 0.5)
    after = np.clip((x - mid) / np.maximum(high - mid, 0.5) * 0.5, 0.0, 0.5)
    climbed = before + after
    smooth: npt.NDArray[np.float64] = climbed * climbed * (3.0 - 2.0 * climbed)
    return smooth

"""From hours to the rectangles of one line: what is drawn from where to where.

All fruit of a batch sits on its line's shelf. It is drawn as three overlapping stretches:

* holding, low, from the pick until "ready" is full;
* ready, as tall as the share that is ready on the best day, fading in over the opening range and
  out over the closing range;
* past, low, from where "ready" begins to fade until today or a while after.

Fruit that the cold ends before it is ready is holding until then, and past after.

On the best day "ready" is always full, even where so little is known that the two ranges overlap:
the eye finds the day by it, and how far the edges reach tells how sure it is.

Soft edges: how sure the forecast is that a batch is ready, pixel by pixel.

All visible lines become one image of a row each, which the painter stretches to the height of a
line: one numpy expression for the whole screen instead of a gradient for every edge.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from PySide6.QtGui import QColor, QImage

from ripenroom.season.projection import FloatColumn, FruitState, Projection
from ripenroom.window.queue.batch_order import Facts, Order
from ripenroom.window.queue.time_view import TimeView

PAST_TAIL_H: Final = 48.0
"""How long fruit that is past is drawn after the last of its closing range."""
BEYOND_PX: Final = 400.0
"""Edges further out of sight than this are drawn here: painters overflow on far coordinates."""


@dataclass(frozen=True, slots=True)
class Shapes:
    """Pixels from the left edge for some lines, in drawing order; ``nan`` where there is none."""

    picked: FloatColumn
    opens_low: FloatColumn
    opens: FloatColumn
    full_from: FloatColumn
    """Where "ready" is drawn full: the high end of the opening range, or the best day before it."""
    best: FloatColumn
    full_to: FloatColumn
    """Until where it is full: the low end of the closing range, or the best day after it."""
    closes: FloatColumn
    closes_high: FloatColumn
    tail: FloatColumn
    ready_share: FloatColumn
    never: FloatColumn
    """Where the outline ends of fruit that won't be ready at all; ``nan`` for all other fruit."""
    gate: FloatColumn
    """Where the cold or trigger is done that the fruit needs; ``nan`` where it needs none."""


def shapes_of(projection: Projection, facts: Facts, lines: Order, view: TimeView) -> Shapes:
    """The shapes of the chosen lines; costs nothing for the others."""
    opens, closes = projection.opens_h, projection.closes_h

    def px(hours: FloatColumn) -> FloatColumn:
        return np.clip(view.x(hours), -BEYOND_PX, view.width_px + BEYOND_PX)

    best_h = projection.best_h.mid[lines]
    closes_mid_h = closes.mid[lines]
    # Fruit that may last for ever at the high end fades out beyond all that is in sight.
    endless = np.isnan(closes.high[lines]) & ~np.isnan(closes_mid_h)
    closes_high_h = np.where(endless, np.inf, closes.high[lines])
    wont_ripen = projection.state[lines] == FruitState.WONT_RIPEN
    never = np.isnan(closes_mid_h) | wont_ripen
    held_to_the_end = projection.ends_unready[lines]
    tail_h = tails_h(projection, lines)
    gate_h = projection.gate_opens_h[lines]
    return Shapes(
        picked=px(facts.picked_h[lines]),
        opens_low=px(np.fmax(opens.low[lines], facts.picked_h[lines])),
        opens=px(opens.mid[lines]),
        full_from=px(
            np.where(
                held_to_the_end,
                closes_high_h,
                np.fmin(opens.high[lines], np.fmax(best_h, opens.mid[lines])),
            )
        ),
        best=px(best_h),
        full_to=px(
            np.where(
                held_to_the_end,
                closes.low[lines],
                np.fmax(closes.low[lines], np.fmin(best_h, closes_mid_h)),
            )
        ),
        closes=px(closes_mid_h),
        closes_high=px(closes_high_h),
        tail=px(tail_h),
        ready_share=np.nan_to_num(projection.ready_at_best.mid[lines]),
        never=px(np.where(never, tail_h, np.nan)),
        gate=px(np.where(np.isinf(gate_h), np.nan, gate_h)),
    )


def tails_h(projection: Projection, lines: Order) -> FloatColumn:
    """The hour at which the drawing of each line ends.

    Fruit that is past lies there until it is thrown out, so its hatching reaches today.
    """
    closes = projection.closes_h
    last = np.fmax(closes.high[lines], closes.mid[lines]) + PAST_TAIL_H
    return np.fmax(last, projection.at_h)


def tail_end_h(projection: Projection, line: int) -> float:
    """:func:`tails_h` of one line."""
    return float(tails_h(projection, np.array([line]))[0])


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

"""Where the parts of the queue stand: names at the left, market days and dates on top, lines below.

All sizes follow the font, so that 200 % text keeps everything readable.
"""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont, QFontMetricsF

LABEL_FOOT_PX = 6.0
"""Air under each label of a market day."""
MOST_CROPS = 4
"""A label of a market day has at most this many lines of crops."""
_NAMES_SHARE = 0.38
"""The names never take more of the width than this."""
_HEADER_SHARE = 0.4
"""The header never takes more of the height than this."""
_ROWS_FOR_WANTS = 22
"""So many lines have to be left where the labels of market days say what is wanted."""


@dataclass(frozen=True, slots=True, eq=False)
class Sizes:
    """Heights and widths (logical pixels) that follow from the fonts alone.

    ``lane_px`` of each line lie beneath its shelf, for the plan; what is written there is ``mark``.
    """

    font: QFont
    small: QFont
    mark: QFont
    line_px: float
    lane_px: float
    text_px: float
    small_px: float

    @classmethod
    def of(cls, font: QFont, with_lane: bool = False) -> "Sizes":
        """The sizes for a font; small text is nine tenths of it, marks are eight."""
        small, mark = QFont(font), QFont(font)
        small.setPointSizeF(font.pointSizeF() * 0.9)
        mark.setPointSizeF(font.pointSizeF() * 0.8)
        metrics, small_metrics = QFontMetricsF(font), QFontMetricsF(small)
        text_px, small_px = metrics.height(), small_metrics.height()
        lane_px = round(QFontMetricsF(mark).ascent() + 1.0) if with_lane else 0.0
        line_px = round(text_px * (1.6 if with_lane else 1.85)) + lane_px
        return cls(font, small, mark, line_px, lane_px, text_px, small_px)


@dataclass(frozen=True, slots=True)
class Layout:
    """The four parts of the canvas."""

    names: QRectF
    header: QRectF
    corner: QRectF
    lines: QRectF
    labels_px: float
    """How high the labels of market days may pile up."""
    axis_px: float


def lay_out(
    width: float,
    height: float,
    sizes: Sizes,
    names_px: float,
    crops_wanted: int,
    compact: bool,
    market_days: int = 2,
) -> Layout:
    """Divide the canvas; ``crops_wanted`` is the most crops that one market day wants.

    Labels get room for names in two rows, as far as there are as many ``market_days``; where the
    canvas is high also for what the next market day wants.
    """
    axis_px = sizes.small_px * 2.0 + 10.0
    names = min(max(market_days, 1), 2)
    wants = min(crops_wanted, MOST_CROPS)
    if compact or height < _ROWS_FOR_WANTS * sizes.line_px:
        wants = 0
    wanted_px = (names + wants) * sizes.small_px + names * LABEL_FOOT_PX
    labels_px = max(min(wanted_px, height * _HEADER_SHARE - axis_px), sizes.small_px + 8.0)
    top = round(labels_px + axis_px)
    left = round(min(names_px, width * _NAMES_SHARE))
    return Layout(
        names=QRectF(0, top, left, max(height - top, 0)),
        header=QRectF(left, 0, max(width - left, 0), top),
        corner=QRectF(0, 0, left, top),
        lines=QRectF(left, top, max(width - left, 0), max(height - top, 0)),
        labels_px=top - axis_px,
        axis_px=axis_px,
    )

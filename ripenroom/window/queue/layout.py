"""Where the parts of the queue stand: names at the left, market days and dates on top, lines below.

All sizes follow the font, so that 200 % text keeps everything readable.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont, QFontMetricsF

_MOST_AIR_PX = 11.0
"""A line is at most so much higher than its letters and the lane beneath them."""
LABEL_FOOT_PX = 6.0
"""Air under each label of a market day."""
MOST_CROPS = 4
"""A label of a market day has at most this many lines of crops."""
_NAMES_SHARE = 0.46
"""The names never take more of the width than this: crops are to be read whole."""
_COMPACT_NAMES_SHARE = 0.55
"""The same in a narrow picture beside something else."""
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
        # Fruit is as high with large letters as it needs to be with small ones; without a lane the
        # names of a line may stand in two lines.
        air_px = min(text_px * 0.6, _MOST_AIR_PX) if with_lane else text_px * 0.85
        line_px = round(text_px + air_px) + lane_px
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


def names_room(width: float, compact: bool) -> float:
    """Pixels that the names may take of so many."""
    return width * (_COMPACT_NAMES_SHARE if compact else _NAMES_SHARE)


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
    top = math.ceil(labels_px + axis_px)  # half a pixel less would be a row of names less
    left = round(min(names_px, names_room(width, compact)))
    return Layout(
        names=QRectF(0, top, left, max(height - top, 0)),
        header=QRectF(left, 0, max(width - left, 0), top),
        corner=QRectF(0, 0, left, top),
        lines=QRectF(left, top, max(width - left, 0), max(height - top, 0)),
        labels_px=top - axis_px,
        axis_px=axis_px,
    )


_GAP_PX: Final = 6.0


class Form(IntEnum):
    """How much of a market day's label there is room for."""

    FULL = 0
    """Name, day, and a line for each crop wanted."""
    SHORT = 1
    """Name and day."""
    WRAPPED = 2
    """The name in one line and the day below it."""
    TICK = 3
    """No words: a flag without a name, and its words on hover."""


@dataclass(frozen=True, slots=True)
class Label:
    """One label to be placed: where its band is, and the size of its forms (pixels)."""

    anchor_x: float
    band_px: float
    full: tuple[float, float]
    """Width and height with all crops."""
    short: tuple[float, float]
    """Width and height of name and day alone."""
    weight: float
    """Who goes first where there is not room for all; higher first."""
    wants_full: bool = True
    wrapped: Sequence[tuple[float, float]] = ()
    """Widths and heights of the name over the day, the whole one first."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A label's form, its left edge and how far its foot is above the dates, its size.

    Its flag, which stands on its day, is at the left edge, or ``before_day`` at the right one.
    """

    form: Form
    x: float
    above: float
    width: float
    height: float
    before_day: bool = False

    @property
    def flag_x(self) -> float:
        """Where its flag stands."""
        return self.x + self.width if self.before_day else self.x

    def covers(self, x: float, above: float) -> bool:
        """Whether a point lies on the label."""
        inside = self.x <= x <= self.x + self.width
        return inside and self.above <= above <= self.above + self.height


@dataclass(frozen=True, slots=True)
class Room:
    """Where labels may stand: from left to right, so high; words need ``least_px`` at least."""

    left: float
    right: float
    height: float
    least_px: float


def place(labels: Sequence[Label], room: Room) -> list[Placed]:
    """A place for every label such that none lies upon another; in the order given.

    The label of the greatest weight is full whenever it can be. As many others as possible are
    full too, the weightier first, as long as every other still has room for its name: a market
    day that is named nowhere is easily forgotten. For the same reason names are cut rather than
    that one takes two lines which another one needs.
    """
    inside = [n for n, label in enumerate(labels) if room.left <= label.anchor_x < room.right]
    order = sorted(inside, key=lambda n: (-labels[n].weight, labels[n].anchor_x))
    best: dict[int, Placed] = {}
    for full in range(len(order), 0, -1):
        for wrapped in (True, False):
            tried = _attempt(labels, order, full, wrapped, room)
            if len(tried) > len(best) or not best:
                best = tried
        if len(best) == len(order):
            break
    return [
        best.get(n, Placed(Form.TICK, label.anchor_x, 0.0, 0.0, 0.0))
        for n, label in enumerate(labels)
    ]


def _attempt(
    labels: Sequence[Label], order: Sequence[int], full: int, wrapped: bool, room: Room
) -> dict[int, Placed]:
    """Places by label number, the first ``full`` in full form, any ``wrapped`` rather than cut; who
    has no room is left out."""
    placed: dict[int, Placed] = {}
    for rank, number in enumerate(order):
        label = labels[number]
        spots = (
            _on_its_day(list(placed.values()), label, form, size, room)
            for form, *size in _forms(label, rank < full, wrapped, room)
        )
        spot = next((one for one in spots if one is not None), None)
        if spot is not None:
            placed[number] = spot
    return placed


def _on_its_day(
    taken: Sequence[Placed], label: Label, form: Form, size: Sequence[float], room: Room
) -> Placed | None:
    """A label that begins on its day; rather before it, and ending there, than nowhere."""
    width, height = size
    first_x, last_x = label.anchor_x, min(label.anchor_x + label.band_px, room.right)
    spot = _free_spot(taken, first_x, min(last_x, room.right - width), width, height, room.height)
    if spot is not None:
        return Placed(form, *spot, width, height)
    # The same, seen from the other side.
    other_way = [replace(one, x=-one.x - one.width) for one in taken]
    least, most = max(first_x, room.left + width), last_x
    spot = _free_spot(other_way, -most, -least, width, height, room.height)
    return None if spot is None else Placed(form, -spot[0] - width, spot[1], width, height, True)


def _forms(label: Label, full: bool, wrapped: bool, room: Room) -> list[tuple[Form, float, float]]:
    """Form, width and height to try, the best first; short words may be cut after one of them."""
    width, height = label.short
    most = min(width, room.right - room.left)
    forms = [(Form.SHORT, width, height)]
    forms += [(Form.WRAPPED, *size) for size in label.wrapped if wrapped]
    forms.append((Form.SHORT, most, height))
    forms += [
        (Form.SHORT, most * share, height) for share in (0.75, 0.5) if most * share >= room.least_px
    ]
    return [(Form.FULL, *label.full), *forms] if full and label.wants_full else forms


def _free_spot(
    taken: Sequence[Placed], first: float, last: float, width: float, height: float, most: float
) -> tuple[float, float] | None:
    """The lowest free place, then the one nearest to ``first``: left edge and foot."""
    if last < first:
        return None
    for above in sorted({0.0, *(other.above + other.height for other in taken)}):
        if above + height > most:
            break
        beside = [
            other
            for other in taken
            if other.above < above + height and above < other.above + other.height
        ]
        x = first
        for other in sorted(beside, key=lambda other: other.x):
            if x + width + _GAP_PX > other.x and other.x + other.width + _GAP_PX > x:
                x = other.x + other.width + _GAP_PX
        if x <= last:
            return x, above
    return None

"""A published interval and the program's range, drawn over each other; what signs mean."""

import math

from PySide6.QtCore import QLocale, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from ripenroom.texts import tr
from ripenroom.window.crops.published.claims import Claim, Scale
from ripenroom.window.palette import Palette
from ripenroom.window.plain import run_from_left
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import FlowLayout
from ripenroom.wording.formats import in_percent

_THINNEST_PX = 5.0
_MARGIN_PX = 8.0
_TICK_LETTERS, _TICK_LETTERS_BY_LOG = 8, 5
"""A tick needs the room of so many letters; where they get closer, fewer on average."""


def axis_rect(rect: QRectF, metrics: QFontMetricsF) -> QRectF:
    """Where the axis runs in a cell: the sign of a miss stands to the right of it."""
    return rect.adjusted(_MARGIN_PX, 0.0, -_MARGIN_PX - metrics.height(), 0.0)


def ticks_of(scale: Scale, axis: QRectF, metrics: QFontMetricsF) -> list[float]:
    """The numbers that there is room for on an axis."""
    letters = _TICK_LETTERS_BY_LOG if scale.log else _TICK_LETTERS
    wide = metrics.horizontalAdvance("0") * letters
    return scale.ticks(max(int(axis.width() / wide), 2))


def paint_axis(
    painter: QPainter,
    axis: QRectF,
    scale: Scale,
    metrics: QFontMetricsF,
    colours: Palette,
    locale: QLocale,
) -> None:
    """The numbers of a group's axis, centred on their places where the cell does not end."""
    painter.setPen(colours.faint)
    locale.setNumberOptions(QLocale.NumberOption.OmitGroupSeparator)
    for tick in ticks_of(scale, axis, metrics):
        text = locale.toString(tick, "g", 4)
        wide = metrics.horizontalAdvance(text) + 2.0
        left = axis.left() + scale.at(tick) * axis.width() - wide / 2.0
        left = max(left, axis.left() - _MARGIN_PX)
        box = QRectF(left, axis.top(), wide, axis.height() - 1.0)
        painter.drawText(box, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignBottom, text)


def paint_lines(
    painter: QPainter, axis: QRectF, scale: Scale, metrics: QFontMetricsF, colours: Palette
) -> None:
    """Hairlines below the numbers of the axis."""
    painter.setPen(QPen(colours.line, 1.0))
    for tick in ticks_of(scale, axis, metrics):
        x = axis.left() + scale.at(tick) * axis.width()
        painter.drawLine(QPointF(x, axis.top()), QPointF(x, axis.bottom()))


def paint_claim(
    painter: QPainter, axis: QRectF, claim: Claim, scale: Scale, high: float, colours: Palette
) -> None:
    """The published bar, the program's line over it, and a cross where they do not meet.

    ``high`` is the height of a line of text in pixels.
    """
    y = axis.center().y()

    def place(value: float) -> float:
        return axis.left() + scale.at(value) * axis.width()

    def bar(ends: tuple[float, float], tall: float) -> QRectF:
        left, right = (place(end) for end in ends)
        return QRectF(left, y - 0.5 * tall * high, right - left, tall * high)

    paint_rounding(painter, bar(claim.rounded, 0.32), colours)
    is_open = math.isinf(claim.low), math.isinf(claim.high)
    paint_bar(painter, bar((claim.low, claim.high), 0.72), is_open, colours)
    low, mid, most = claim.said
    if math.isnan(mid):
        painter.setPen(colours.warning if claim.missed else colours.text)
        align = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(axis.adjusted(0.0, 0.0, -high / 2.0, 0.0), align, claim.answer)
    else:
        endless = math.isnan(most)
        ends = [place(low), place(mid), axis.right() if endless else place(most)]
        paint_range(painter, ends, y, 0.22 * high, claim.missed, endless, colours)
    if claim.missed:
        middle = QPointF(axis.right() + _MARGIN_PX / 2.0 + high / 2.0, y)
        paint_cross(painter, middle, 0.21 * high, colours)


def paint_rounding(painter: QPainter, bar: QRectF, colours: Palette) -> None:
    """What a published number may have been rounded from: a thinner, empty bar around it."""
    painter.setPen(QPen(colours.outline, 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(bar)


def paint_bar(painter: QPainter, bar: QRectF, is_open: tuple[bool, bool], colours: Palette) -> None:
    """What is published; where an end is open it is an arrow's head."""
    if bar.width() < _THINNEST_PX:
        bar = QRectF(bar.center().x() - _THINNEST_PX / 2.0, bar.top(), _THINNEST_PX, bar.height())
    tip = min(bar.height() / 2.0, bar.width())
    left, right = bar.left(), bar.right()
    middle = bar.center().y()
    inner_left = left + tip if is_open[0] else left
    inner_right = right - tip if is_open[1] else right
    corners = [QPointF(inner_left, bar.top()), QPointF(inner_right, bar.top())]
    if is_open[1]:
        corners.append(QPointF(right, middle))
    corners += [QPointF(inner_right, bar.bottom()), QPointF(inner_left, bar.bottom())]
    if is_open[0]:
        corners.append(QPointF(left, middle))
    painter.setPen(QPen(colours.outline, 1.0))
    painter.setBrush(colours.holding)
    painter.drawPolygon(QPolygonF(corners))


def paint_range(
    painter: QPainter,
    ends: list[float],
    y: float,
    size: float,
    missed: bool,
    endless: bool,
    colours: Palette,
) -> None:
    """What the program says, low, middle and high in pixels: a dot on a line, a hollow diamond
    where it misses; ``endless`` lines end in an arrow."""
    low, mid, high = ends
    painter.setPen(QPen(colours.warning if missed else colours.ready, 2.0))
    painter.drawLine(QPointF(low, y), QPointF(high, y))
    painter.drawLine(QPointF(low, y - size), QPointF(low, y + size))
    if endless:
        for way in (-size, size):
            painter.drawLine(QPointF(high, y), QPointF(high - size, y + way))
    else:
        painter.drawLine(QPointF(high, y - size), QPointF(high, y + size))
    if missed:
        painter.setBrush(colours.field)
        around = [(-1.2, 0.0), (0.0, -1.2), (1.2, 0.0), (0.0, 1.2)]
        painter.drawPolygon(QPolygonF([QPointF(mid + x * size, y + d * size) for x, d in around]))
    else:
        painter.setBrush(colours.ready)
        painter.drawEllipse(QPointF(mid, y), size, size)


def paint_cross(painter: QPainter, middle: QPointF, half: float, colours: Palette) -> None:
    """The sign of a miss."""
    painter.setPen(QPen(colours.warning, 2.0))
    for way in (-half, half):
        painter.drawLine(middle - QPointF(half, way), middle + QPointF(half, way))


_GAP_PX = 6


class SignLegend(QWidget):
    """The three signs, in as many rows as there is room for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = FlowLayout(spacing=14)
        for sign, text in (
            ("published", tr("published (thin: with rounding)")),
            ("ours", tr("program, {sure} range").format(sure=in_percent(80))),
            ("missed", tr("missed")),
        ):
            row.addWidget(_Sign(sign, text, self))
        self.setLayout(row)


class _Sign(QWidget):
    """One sign and its word."""

    def __init__(self, sign: str, text: str, parent: QWidget) -> None:
        super().__init__(parent)
        run_from_left(self)
        self._sign, self._text = sign, text
        self.setAccessibleName(text)

    def sizeHint(self) -> QSize:
        """The sign, three letters wide, and the word."""
        metrics = self.fontMetrics()
        wide = self._sign_px() + _GAP_PX + metrics.horizontalAdvance(self._text)
        return QSize(wide, metrics.height() + 2)

    def _sign_px(self) -> int:
        return self.fontMetrics().height() * (1 if self._sign == "missed" else 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw both."""
        painter, colours, high = QPainter(self), ink(self), float(self.fontMetrics().height())
        run_from_left(painter)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(1.0, 0.0, self._sign_px() - 2.0, float(self.height()))
        y = box.center().y()
        if self._sign == "published":
            bar = QRectF(box.left() + 5.0, y - 0.36 * high, box.width() - 10.0, 0.72 * high)
            paint_rounding(
                painter, QRectF(box.left(), y - 0.16 * high, box.width(), 0.32 * high), colours
            )
            paint_bar(painter, bar, (False, False), colours)
        elif self._sign == "ours":
            ends = [box.left(), box.center().x(), box.right()]
            paint_range(painter, ends, y, 0.22 * high, False, False, colours)
        else:
            paint_cross(painter, QPointF(box.center().x(), y), 0.21 * high, colours)
        painter.setPen(colours.text)
        baseline = y + (self.fontMetrics().ascent() - self.fontMetrics().descent()) / 2.0
        painter.drawText(QPointF(self._sign_px() + _GAP_PX, baseline), self._text)
        painter.end()

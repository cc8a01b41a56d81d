"""A card for one batch: its code, what was written down, what is expected, and its curve."""

import math
from collections.abc import Sequence
from datetime import timedelta

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QPagedPaintDevice,
    QPageLayout,
    QPainter,
    QPen,
    QPolygonF,
)

from ripenroom.records.refusal import Refusal
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import BatchStory
from ripenroom.texts import tr
from ripenroom.window.paper.output import lines_of, paint_qr, write_line
from ripenroom.window.session import Session
from ripenroom.wording.batch_facts import Fact, expected, written_down

_MARGIN_MM = 16.0
_LINE_MM = 6.4
_LABEL_MM = 46.0
_MOST_FACTS = 20
_SHOWN_SHARE = 0.01
"""Days on which less than this is ready or past at either end are left out of the curve."""


def print_card(device: QPagedPaintDevice, session: Session, batch_id: str, font: QFont) -> None:
    """Paint the card of a batch on one page."""
    painter = QPainter()
    if not painter.begin(device):
        return
    try:
        scale = device.logicalDpiX() / 25.4
        page = device.pageLayout().fullRect(QPageLayout.Unit.Millimeter)
        corner = device.pageLayout().paintRect(QPageLayout.Unit.Millimeter).topLeft()
        painter.scale(scale, scale)
        painter.translate(-corner.x(), -corner.y())
        inner = QRectF(page).adjusted(_MARGIN_MM, _MARGIN_MM, -_MARGIN_MM, -_MARGIN_MM)
        paint_card(painter, inner, session, batch_id, font)
    finally:
        painter.end()


def paint_card(
    painter: QPainter, area: QRectF, session: Session, batch_id: str, font: QFont
) -> None:
    """Paint the card into an area; one unit of the painter is a millimetre."""
    batch = session.season.book.batches[batch_id]
    painter.setPen(QPen(QColor(Qt.GlobalColor.black), 0.3))
    side = 34.0
    paint_qr(painter, QRectF(area.right() - side, area.top() - 4.0, side, side), batch.code)
    head = QRectF(area.left(), area.top(), area.width() - side - 4.0, 20.0)
    write_line(painter, head, batch.code, font, bold=True)
    season = QRectF(area.left(), head.bottom() + 1.0, head.width(), _LINE_MM)
    write_line(painter, season, session.season.book.season.name, font)
    top = area.top() + side + 2.0
    facts = [*written_down(session, batch_id), *expected(session, batch_id)][:_MOST_FACTS]
    top = _write_facts(painter, QRectF(area.left(), top, area.width(), 0.0), facts, font)
    curve = QRectF(area.left(), top + 6.0, area.width(), min(area.bottom() - top - 6.0, 80.0))
    if curve.height() >= 30.0:
        try:
            story = session.season.story(batch_id)
        except Refusal:  # its facts say already why nothing can be worked out
            return
        _paint_curve(painter, curve, story, session, font)


def _write_facts(painter: QPainter, area: QRectF, facts: Sequence[Fact], font: QFont) -> float:
    top = area.top()
    width = area.width() - _LABEL_MM - 2.0
    for label, text in facts:
        write_line(painter, QRectF(area.left(), top, _LABEL_MM, _LINE_MM), label, font)
        for line in lines_of(text, width, _LINE_MM, font, bold=True):
            place = QRectF(area.left() + _LABEL_MM + 2.0, top, width, _LINE_MM)
            write_line(painter, place, line, font, bold=True)
            top += _LINE_MM
    return top


def _paint_curve(
    painter: QPainter, area: QRectF, story: BatchStory, session: Session, font: QFont
) -> None:
    """The share of fruit that is ready by day, with its range, between two axes."""
    words = session.words
    title = tr("Share of the fruit that is ready, by day")
    write_line(painter, QRectF(area.left(), area.top(), area.width(), 6.0), title, font, bold=True)
    plot = QRectF(area.left() + 14.0, area.top() + 9.0, area.width() - 14.0, area.height() - 18.0)
    shown = np.flatnonzero((story.ready_high > _SHOWN_SHARE) & (story.past < 1 - _SHOWN_SHARE))
    first, last = (int(shown[0]), int(shown[-1])) if shown.size else (0, story.hours.size - 1)
    hours = story.hours[first : last + 1]
    if hours.size < 2:
        return
    across = plot.width() / float(hours[-1] - hours[0])

    def spots(share: "np.ndarray[tuple[int], np.dtype[np.float64]]") -> list[QPointF]:
        return [
            QPointF(plot.left() + (hour - hours[0]) * across, plot.bottom() - value * plot.height())
            for hour, value in zip(hours.tolist(), share[first : last + 1].tolist(), strict=True)
        ]

    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    # Grey survives a black and white printer, and the curve on it is black.
    painter.setBrush(QBrush(QColor(205, 205, 205)))
    # On the best day the estimate may lie above what nine of ten courses reach.
    top = np.maximum(story.ready_high, story.ready)
    painter.drawPolygon(QPolygonF([*spots(story.ready_low), *reversed(spots(top))]))
    painter.restore()
    painter.setPen(QPen(QColor(Qt.GlobalColor.black), 0.7))
    painter.drawPolyline(QPolygonF(spots(story.ready)))
    painter.setPen(QPen(QColor(Qt.GlobalColor.black), 0.25))
    for share in (0.0, 0.5, 1.0):
        y = plot.bottom() - share * plot.height()
        painter.drawLine(QPointF(plot.left(), y), QPointF(plot.right(), y))
        label = QRectF(area.left(), y - 2.6, 12.0, 5.2)
        write_line(painter, label, words.share(share), font, align=Qt.AlignmentFlag.AlignRight)
    _write_days(painter, plot, float(hours[0]), float(hours[-1]), session, font)
    now_h = to_hours(session.season.now())
    if hours[0] < now_h < hours[-1]:
        pen = QPen(QColor(Qt.GlobalColor.black), 0.4, Qt.PenStyle.DashLine)
        painter.setPen(pen)
        x = plot.left() + (now_h - float(hours[0])) * across
        painter.drawLine(QPointF(x, plot.top()), QPointF(x, plot.bottom()))


def _write_days(
    painter: QPainter, plot: QRectF, first_h: float, last_h: float, session: Session, font: QFont
) -> None:
    """Days under the curve, as many as can be read."""
    words = session.words
    midnight = words.local(first_h).replace(hour=0, minute=0, second=0, microsecond=0)
    days = max(1, math.ceil((last_h - first_h) / 24.0))
    every = max(1, math.ceil(days / (plot.width() / 20.0)))
    for number in range(1, days + 1, every):
        day = midnight + timedelta(days=number)
        at_h = to_hours(day)
        if at_h > last_h:
            break
        x = plot.left() + (at_h - first_h) / (last_h - first_h) * plot.width()
        painter.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() + 1.5))
        if x + 9.0 <= plot.right() + 2.0:
            place = QRectF(x - 9.0, plot.bottom() + 2.0, 18.0, 5.0)
            write_line(
                painter, place, words.short_day(at_h), font, align=Qt.AlignmentFlag.AlignHCenter
            )

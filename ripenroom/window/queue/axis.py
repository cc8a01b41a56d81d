"""Draws the two rows of dates over the lines: months, and days as far as there is room."""

from PySide6.QtCore import QDate, QLineF, QLocale, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from ripenroom.window.fonts import bold
from ripenroom.window.inks import Ink
from ripenroom.window.queue.days import Days
from ripenroom.window.queue.layout import Layout, Sizes
from ripenroom.window.wording import Wording

_GAP_PX = 8.0


def month_spans(days: Days) -> list[tuple[int, int]]:
    """First and one-past-last day number of each month in sight."""
    starts = [n for n in range(len(days)) if n == 0 or days.day(n).day == 1]
    return list(zip(starts, [*starts[1:], len(days)], strict=True))


def paint_axis(
    painter: QPainter,
    layout: Layout,
    days: Days,
    words: Wording,
    sizes: Sizes,
    now_box: QRectF,
    ink: Ink,
) -> None:
    """Months stay in sight while any of their days is; days lose their weekday, then most dates.

    Months give way to ``now_box``, in which the present moment is named.
    """
    header = layout.header
    metrics = QFontMetricsF(sizes.small)
    painter.setFont(sizes.small)
    months_y = header.bottom() - layout.axis_px + 2.0
    days_y = header.bottom() - sizes.small_px - 3.0
    painter.setPen(QPen(ink.line, 1.0))
    painter.drawLine(QLineF(0, header.bottom() - 0.5, header.right(), header.bottom() - 0.5))
    for first, last in month_spans(days):
        left = header.x() + max(float(days.edges_x[first]), 0.0)
        right = min(header.x() + float(days.edges_x[last]), header.right())
        if first:
            painter.setPen(QPen(ink.edge, 1.0))
            painter.drawLine(
                QLineF(round(left) + 0.5, months_y, round(left) + 0.5, header.bottom())
            )
        if left < now_box.right() and now_box.left() < left + metrics.horizontalAdvance("MMMM"):
            left = now_box.right() + 2.0
        name = words.locale.toString(_qdate(days, first), "MMMM yyyy")
        if metrics.horizontalAdvance(name) + _GAP_PX > right - left:
            name = words.locale.toString(_qdate(days, first), "MMM")
        if metrics.horizontalAdvance(name) + _GAP_PX <= right - left:
            painter.setPen(ink.faint)
            painter.drawText(QPointF(left + 4.0, months_y + metrics.ascent()), name)
    _paint_days(painter, header, days_y, days, words, sizes, metrics, ink)


def _paint_days(
    painter: QPainter,
    header: QRectF,
    y: float,
    days: Days,
    words: Wording,
    sizes: Sizes,
    metrics: QFontMetricsF,
    ink: Ink,
) -> None:
    width = days.width_px
    weekdays_fit = width >= metrics.horizontalAdvance("Wed 30") + _GAP_PX
    initials_fit = width >= metrics.horizontalAdvance("W 30") + _GAP_PX
    all_fit = width >= metrics.horizontalAdvance("30") + _GAP_PX / 2.0
    heavy = bold(sizes.small)
    for n in range(len(days)):
        day = days.day(n)
        if not all_fit and day.isoweekday() != 1:
            continue
        left, right = float(days.edges_x[n]), float(days.edges_x[n + 1])
        centre = (left + right) / 2.0 if all_fit else left + metrics.horizontalAdvance("30") / 2.0
        text = words.locale.toString(_qdate(days, n), "ddd d" if weekdays_fit else "d")
        if initials_fit and not weekdays_fit:
            text = f"{_initial(words, day.isoweekday())} {text}"
        wide = metrics.horizontalAdvance(text) + 12.0
        weekend = day.isoweekday() >= 6
        painter.setFont(heavy if weekend else sizes.small)
        painter.setPen(ink.text if weekend else ink.faint)
        cell = QRectF(header.x() + centre - wide / 2.0, y, wide, sizes.small_px)
        painter.drawText(cell, Qt.AlignmentFlag.AlignCenter, text)


def _initial(words: Wording, weekday: int) -> str:
    """One letter for a day of the week; locales without one would give a number."""
    narrow = words.locale.dayName(weekday, QLocale.FormatType.NarrowFormat)
    short = words.locale.dayName(weekday, QLocale.FormatType.ShortFormat)
    return narrow if narrow.isalpha() else short[:1]


def _qdate(days: Days, n: int) -> QDate:
    day = days.day(n)
    return QDate(day.year, day.month, day.day)

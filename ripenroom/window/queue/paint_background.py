"""Draws what lies under and over the lines: shaded days, bands of market days, the past, now."""

from collections.abc import Callable, Sequence
from datetime import date

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from ripenroom.window.palette import Palette
from ripenroom.window.queue.layout import Layout, Sizes
from ripenroom.window.queue.scene import MarketBand
from ripenroom.window.queue.time_view import QueueDays, TimeView
from ripenroom.window.theme import bold
from ripenroom.wording.formats import Formats

_SHADED_BY_WEEK_BELOW_PX = 14.0
_BAND_LEAST_PX = 3.0


def paint_days(painter: QPainter, layout: Layout, days: QueueDays, ink: Palette) -> None:
    """Every other day slightly shaded; every other week where days would flicker."""
    shade = QColor(ink.panel)
    shade.setAlpha(150)
    by_week = days.width_px < _SHADED_BY_WEEK_BELOW_PX
    area = layout.lines
    for n in range(len(days)):
        day = days.day(n)
        if (day.isocalendar().week if by_week else day.toordinal()) % 2:
            left, right = float(days.edges_x[n]), float(days.edges_x[n + 1])
            stripe = QRectF(area.x() + left, area.y(), right - left, area.height())
            painter.fillRect(stripe & area, shade)


def paint_bands(
    painter: QPainter, layout: Layout, bands: tuple[MarketBand, ...], view: TimeView, ink: Palette
) -> None:
    """Each market day from the foot of its label down through all lines."""
    area = layout.lines.adjusted(0, -layout.axis_px, 0, 0)
    painter.setPen(QPen(ink.edge, 1.0, Qt.PenStyle.DotLine))
    for band in bands:
        left, right = area.x() + view.x(band.first_h), area.x() + view.x(band.last_h)
        if right < area.left() or left > area.right():
            continue
        stripe = QRectF(left, area.y(), max(right - left, _BAND_LEAST_PX), area.height())
        painter.fillRect(stripe & area, ink.band)
        for x in (round(stripe.left()) + 0.5, round(stripe.right()) - 0.5):
            if area.left() <= x <= area.right():
                painter.drawLine(QLineF(x, area.top(), x, area.bottom()))


def paint_past(painter: QPainter, layout: Layout, now_x: float, ink: Palette) -> None:
    """The page's colour laid thinly over all that lies before now."""
    veil = QColor(ink.paper)
    veil.setAlpha(130)
    area = layout.lines
    if now_x > 0:
        painter.fillRect(QRectF(area.x(), area.y(), min(now_x, area.width()), area.height()), veil)


Span = tuple[float, float]


def name_now(
    layout: Layout,
    now_x: float,
    texts: Sequence[str],
    width_of: Callable[[str], float],
    high_px: float,
    heads: Sequence[Span] = (),
) -> tuple[str, QRectF]:
    """How the present moment is named and where, in the months' row; nowhere if out of sight.

    ``texts`` are its names, the longest first. It stands right of the line of now, else left of it,
    else shorter, so that it covers no head of a market day's band; where it cannot but do so, as
    little of them as can be. ``heads`` are these, from the left edge of the lines.
    """
    if not -1.0 <= now_x <= layout.lines.width():
        return texts[0], QRectF()
    header, start_x = layout.header, layout.lines.x()
    x, top = round(start_x + now_x), header.bottom() - layout.axis_px + 1.0
    tried: list[tuple[float, str, QRectF]] = []
    for text in texts:
        width = width_of(text) + 10.0
        for left in (min(x, header.right() - width), max(x - width, header.left())):
            box = QRectF(left, top, width, high_px + 2.0)
            covered = sum(
                max(min(last, box.right() - start_x) - max(first, left - start_x), 0.0)
                for first, last in heads
            )
            tried.append((covered, text, box))
    _, text, box = min(tried, key=lambda one: one[0])
    return text, box


def paint_now(
    painter: QPainter, layout: Layout, now_x: float, box: QRectF, label: str, ink: Palette
) -> None:
    """The line of the present moment through all lines, and its label above the day."""
    if box.isEmpty():
        return
    x = round(layout.lines.x() + now_x) + 0.5
    painter.setPen(QPen(ink.now, 2.0))
    # Not through the row of days: it would cut the number of its own.
    painter.drawLine(QLineF(x, layout.header.bottom(), x, layout.lines.bottom()))
    painter.fillRect(box, ink.now)
    painter.setPen(ink.paper)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, label)


_GAP_PX = 8.0


def month_spans(days: QueueDays) -> list[tuple[int, int]]:
    """First and one-past-last day number of each month in sight."""
    starts = [n for n in range(len(days)) if n == 0 or days.day(n).day == 1]
    return list(zip(starts, [*starts[1:], len(days)], strict=True))


def month_names(
    days: QueueDays,
    across: tuple[float, float],
    now_box: QRectF,
    width_of: Callable[[str], float],
    name_of: Callable[[date, bool], str],
) -> list[tuple[float, str]]:
    """Where each month's name begins: whole, beside ``now_box``, as long as any of it is in sight.

    ``name_of`` has a month's name, in full (True) or short, of which the first that has room is
    taken; where neither has any, the month is not named. ``across`` is where the axis begins and
    ends, in pixels like all else.
    """
    start, end = across
    names: list[tuple[float, str]] = []
    for first, last in month_spans(days):
        left = max(start + float(days.edges_x[first]), start)
        right = min(start + float(days.edges_x[last]), end)
        free = [(left, right)]
        if left < now_box.right() and now_box.left() < right:
            free = [(left, now_box.left()), (now_box.right(), right)]
        texts = [name_of(days.day(first), full) for full in (True, False)]
        found = (
            (from_x + _GAP_PX / 2.0, text)
            for text in texts
            for from_x, to_x in free
            if width_of(text) + _GAP_PX <= to_x - from_x
        )
        names += [name for name in (next(found, None),) if name is not None]
    return names


def paint_axis(
    painter: QPainter,
    layout: Layout,
    days: QueueDays,
    words: Formats,
    sizes: Sizes,
    now_box: QRectF,
    ink: Palette,
) -> None:
    """Months stay in sight while any of their days is; days lose their weekday, then most dates.
    What would be cut off at either end is left out.

    Months give way to ``now_box``, in which the present moment is named.
    """
    header = layout.header
    metrics = QFontMetricsF(sizes.small)
    painter.setFont(sizes.small)
    months_y = header.bottom() - layout.axis_px + 2.0
    days_y = header.bottom() - sizes.small_px - 3.0
    painter.setPen(QPen(ink.line, 1.0))
    painter.drawLine(QLineF(0, header.bottom() - 0.5, header.right(), header.bottom() - 0.5))
    for first, _ in month_spans(days):
        if first:
            left = header.x() + float(days.edges_x[first])
            painter.setPen(QPen(ink.edge, 1.0))
            painter.drawLine(
                QLineF(round(left) + 0.5, months_y, round(left) + 0.5, header.bottom())
            )
    painter.setPen(ink.faint)
    across = (header.x(), header.right())
    named = month_names(days, across, now_box, metrics.horizontalAdvance, words.month_of)
    for x, name in named:
        painter.drawText(QPointF(x, months_y + metrics.ascent()), name)
    _paint_days(painter, header, days_y, days, words, sizes, metrics, ink)


def _paint_days(
    painter: QPainter,
    header: QRectF,
    y: float,
    days: QueueDays,
    words: Formats,
    sizes: Sizes,
    metrics: QFontMetricsF,
    ink: Palette,
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
        text = words.dated(day, "EEE d" if weekdays_fit else "d")
        if initials_fit and not weekdays_fit:
            text = f"{_initial(words, day.weekday())} {text}"
        weekend = day.isoweekday() >= 6
        painter.setFont(heavy if weekend else sizes.small)
        wide = painter.fontMetrics().horizontalAdvance(text)
        if centre < wide / 2.0 or centre + wide / 2.0 > header.width():
            continue
        painter.setPen(ink.text if weekend else ink.faint)
        cell = QRectF(header.x() + centre - wide, y, 2.0 * wide, sizes.small_px)
        painter.drawText(cell, Qt.AlignmentFlag.AlignCenter, text)


def _initial(words: Formats, weekday: int) -> str:
    """One letter for a day of the week; locales without one would give a number."""
    narrow = words.weekday(weekday, "narrow")
    return narrow if narrow.isalpha() else words.weekday(weekday, "abbreviated")[:1]

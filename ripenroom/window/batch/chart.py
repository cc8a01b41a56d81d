"""Two charts over one span of days: firmness of the middle fruit, and share of fruit ready.

Importing this module imports pyqtgraph, which takes longer than all the rest of the window: only
the batch panel imports it, when it is opened.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF
from PySide6.QtWidgets import QVBoxLayout, QWidget

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.records.crop.profile import CropProfile, JudgedBy
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import BatchStory, FloatColumn
from ripenroom.texts import tr
from ripenroom.units import force_in, newtons
from ripenroom.window.palette import Palette
from ripenroom.window.session import Session
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import WrappedLabel


@dataclass(frozen=True, slots=True)
class FoundFirmness:
    """One reading (``low_n`` is ``high_n``), or the ``share`` of fruit of one feel.

    In newtons, or percent green where fruit is judged by colour; ``at_h`` in hours.
    """

    at_h: float
    low_n: float
    high_n: float
    share: float | None


def found_of(book: Book, batch: Batch, crop: CropProfile) -> tuple[FoundFirmness, ...]:
    """Everything that was found of a batch, earliest first; of checks only those that count."""
    if crop.judged_by == "nothing":
        return ()
    seen: list[Batch | Check] = [batch]
    seen += [c for c in book.checks.values() if c.batch_id == batch.id and c.counted]
    marks = [mark for one in seen for mark in _marks(one, crop)]
    return tuple(sorted(marks, key=lambda mark: mark.at_h))


def _marks(one: Batch | Check, crop: CropProfile) -> list[FoundFirmness]:
    at_h = to_hours(one.picked_at if isinstance(one, Batch) else one.at)
    if one.feel_counts is not None:
        firmness, feel = crop.firmness, crop.feel
        edges = (
            firmness.highest_n.value,
            feel.slight_give_n.value,
            feel.gives_n.value,
            feel.soft_n.value,
            feel.too_soft_n.value,
            firmness.lowest_n.value,
        )
        all_fruit = sum(one.feel_counts) or 1
        return [
            FoundFirmness(at_h, edges[n + 1], edges[n], count / all_fruit)
            for n, count in enumerate(one.feel_counts)
            if count
        ]
    read = (newtons(reading, one.reading_unit or "N") for reading in one.readings)
    return [FoundFirmness(at_h, newton, newton, None) for newton in read]


_AXIS_AIR_PX = 4
_SOFT = 70
"""How opaque the band of an 80 % range is, of 255."""


class _DayAxis(pg.AxisItem):  # type: ignore[misc]
    """Days of the season's home zone, ticked at midnight there."""

    def __init__(self, session: Session, font: QFont) -> None:
        super().__init__(orientation="bottom")
        self._session = session
        self._label_width = QFontMetricsF(font).horizontalAdvance("00 Mmm")
        self.setStyle(tickFont=font)

    def tickValues(self, minimum: float, maximum: float, size: float) -> object:
        zone = self._session.season.zone
        words = self._session.words
        day = words.local(minimum).replace(hour=0, minute=0, second=0)
        days = (maximum - minimum) / 24
        labels = max(1.0, size / (self._label_width * 1.3))
        step = max(1, math.ceil(days / labels))
        ticks: list[float] = []
        hours = to_hours(day)
        while hours <= maximum:
            if hours >= minimum:
                ticks.append(hours)
            # Noon of the target day, then back to its midnight: days are 23 or 25 hours long.
            noon = words.local(hours + 24 * step + 12)
            hours = to_hours(noon.replace(hour=0, minute=0, second=0, tzinfo=zone))
        return [(24.0 * step, ticks)]

    def tickStrings(self, values: list[float], _scale: float, _spacing: float) -> list[str]:
        return [self._session.words.short_day(value) for value in values]


class BatchChart(QWidget):
    """Draws a :class:`BatchStory`; the present moment is a broken line."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        colours = ink(self)
        self._session = session
        self._firmness = self._plot(session, colours, self._firmness_label())
        self._shares = self._plot(session, colours, tr("ready, %"))
        self._shares.setAccessibleName(tr("Share of fruit ready by day"))
        self._shares.setXLink(self._firmness)
        self._shares.setYRange(0, 100)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._firmness)
        layout.addWidget(self._shares)
        self.key = WrappedLabel(parent=self)
        self.key.setObjectName("faint")
        layout.addWidget(self.key)

    def _plot(self, session: Session, colours: Palette, label: str) -> pg.PlotWidget:
        plot = pg.PlotWidget(
            axisItems={"bottom": _DayAxis(session, self.font())}, background=colours.paper
        )
        plot.setMenuEnabled(False)
        plot.hideButtons()
        plot.setMouseEnabled(x=False, y=False)
        plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        for side in ("left", "bottom"):
            axis = plot.getAxis(side)
            axis.setPen(pg.mkPen(colours.line))
            axis.setTextPen(pg.mkPen(colours.faint))
            axis.setStyle(tickFont=self.font())
        plot.getAxis("left").setLabel(label, color=colours.faint.name())
        plot.getAxis("left").setWidth(self.fontMetrics().horizontalAdvance("0") * 7)
        # By itself it takes four fifths of its letters' height.
        plot.getAxis("bottom").setHeight(self.fontMetrics().height() + _AXIS_AIR_PX)
        return plot

    def show_story(
        self,
        story: BatchStory,
        now_h: float,
        judged_by: JudgedBy,
        by_the_book: BatchStory | None = None,
        found: Sequence[FoundFirmness] = (),
    ) -> None:
        """Draw a batch over time; of fruit judged by nothing no softening is known to draw.

        ``by_the_book`` is the same before anything was learned: its band is an outline. ``found``
        is what the pick and the checks said.
        """
        colours = ink(self)
        self.key.setText(_key_words(by_the_book is not None, found, judged_by == "colour"))
        self.key.setVisible(bool(self.key.text()))
        self._firmness.setVisible(judged_by != "nothing")
        by_colour = judged_by == "colour"
        # How green fruit is goes by the same numbers as newtons; it has no unit to be told in.
        per_n = 1.0 if by_colour else force_in(1.0, self._session.words.force_unit)
        label = tr("green, %") if by_colour else self._firmness_label()
        self._firmness.getAxis("left").setLabel(label, color=colours.faint.name())
        self._firmness.setAccessibleName(
            tr("Green surface by day") if by_colour else tr("Firmness by day")
        )
        self._draw(
            self._firmness,
            story.hours,
            story.firmness_low_n * per_n,
            story.firmness_n * per_n,
            story.firmness_high_n * per_n,
            colours,
        )
        self._draw(
            self._shares,
            story.hours,
            story.ready_low * 100,
            story.ready * 100,
            story.ready_high * 100,
            colours,
        )
        if by_the_book is not None:
            for plot, edges in (
                (
                    self._firmness,
                    (by_the_book.firmness_low_n * per_n, by_the_book.firmness_high_n * per_n),
                ),
                (self._shares, (by_the_book.ready_low * 100, by_the_book.ready_high * 100)),
            ):
                outline = pg.mkPen(colours.outline, width=1.5, style=Qt.PenStyle.DotLine)
                for edge in edges:
                    plot.addItem(pg.PlotDataItem(by_the_book.hours, edge, pen=outline))
        self._mark(found, per_n, colours)
        pen = pg.mkPen(colours.now, width=1, style=Qt.PenStyle.DashLine)
        for plot in (self._firmness, self._shares):
            plot.addItem(pg.InfiniteLine(now_h, pen=pen))
        tops = [float(np.nanmax(story.firmness_high_n)), *(mark.high_n for mark in found)]
        self._firmness.setYRange(0, max(tops) * per_n)
        self._firmness.setXRange(float(story.hours[0]), _end_of_interest(story), padding=0.02)

    def _firmness_label(self) -> str:
        return tr("firmness, {unit}").format(unit=self._session.words.force_unit)

    def _mark(self, found: Sequence[FoundFirmness], per_n: float, colours: Palette) -> None:
        """Bars from edge to edge of a feel, wider for more fruit; rings for readings; ``per_n`` is
        a newton in what the axis is read in."""
        rings = [mark for mark in found if mark.share is None]
        for mark in found:
            if mark.share is None:
                continue
            pen = pg.mkPen(colours.text, width=1.5 + 9.0 * mark.share)
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            ends = np.array([mark.low_n, mark.high_n]) * per_n
            self._firmness.addItem(pg.PlotDataItem(np.full(2, mark.at_h), ends, pen=pen))
        if rings:
            self._firmness.addItem(
                pg.ScatterPlotItem(
                    [mark.at_h for mark in rings],
                    [mark.low_n * per_n for mark in rings],
                    symbol="o",
                    size=9,
                    pen=pg.mkPen(colours.text, width=1.5),
                    brush=pg.mkBrush(colours.paper),
                )
            )

    def _draw(
        self,
        plot: pg.PlotWidget,
        hours: FloatColumn,
        low: FloatColumn,
        middle: FloatColumn,
        high: FloatColumn,
        colours: Palette,
    ) -> None:
        plot.clear()
        band = QColor(colours.ready)
        band.setAlpha(_SOFT)
        edge = pg.mkPen(band)
        plot.addItem(
            pg.FillBetweenItem(
                pg.PlotDataItem(hours, low, pen=edge),
                pg.PlotDataItem(hours, high, pen=edge),
                brush=pg.mkBrush(band),
            )
        )
        plot.addItem(pg.PlotDataItem(hours, middle, pen=pg.mkPen(colours.ready, width=2)))


def _key_words(before: bool, found: Sequence[FoundFirmness], by_colour: bool) -> str:
    said = []
    if before:
        said.append(tr("Filled: with what checks taught. Dotted: as usual for the crop."))
    if any(mark.share is not None for mark in found):
        said.append(
            tr("Bars: how many fruit of each color.")
            if by_colour
            else tr("Bars: how many fruit of each feel.")
        )
    if any(mark.share is None for mark in found):
        said.append(tr("Rings: gauge readings."))
    return " ".join(said)


def _end_of_interest(story: BatchStory) -> float:
    """Where nearly all fruit is past, or the last hour told."""
    done = np.flatnonzero(story.past > 0.97)
    last = done[0] if done.size else story.hours.size - 1
    return float(story.hours[min(last + 4, story.hours.size - 1)])

"""The picture of the queue: a scene seen through a movable, zoomable view.

Mouse, wheel and keyboard are the business of :mod:`ripenroom.window.queue.canvas`.
"""

import math
from dataclasses import replace
from datetime import date, timedelta

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen, QRegion, QResizeEvent
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.window.plain import run_from_left
from ripenroom.window.queue.layout import Layout, Placed, Sizes, lay_out, names_room
from ripenroom.window.queue.paint_background import (
    name_now,
    paint_axis,
    paint_bands,
    paint_days,
    paint_now,
    paint_past,
)
from ripenroom.window.queue.paint_bands import WrittenBand, paint_labels, place_bands, write_bands
from ripenroom.window.queue.paint_batches import paint_expected, paint_lines
from ripenroom.window.queue.paint_cold import paint_cold
from ripenroom.window.queue.paint_names import natural_width, paint_headings, paint_names
from ripenroom.window.queue.paint_plan import paint_plan
from ripenroom.window.queue.queue_plan import QueueItinerary
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, QueueDays, TimeView, day_of, days_in, span_of
from ripenroom.window.queue.trial import (
    DecisionTrial,
    chosen_in,
    paint_note,
    trial_scene,
    trial_words,
)
from ripenroom.window.theme import ink
from ripenroom.wording.formats import Formats

_HOME_DAYS = 17
"""Days in sight at first: two market weeks and some."""
_HOME_BEFORE_DAYS = 3
_CORNER_PX = 8.0


class QueuePicture(QAbstractScrollArea):
    """Shows a :class:`Scene`; ``compact`` leaves the wants out of the market days' labels.

    ``moved`` says that a hand went on to other days or lines.
    """

    moved = Signal()

    def __init__(self, compact: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        run_from_left(self)
        self.compact = compact
        self.scene: Scene | None = None
        self.words: Formats | None = None
        self.selected: int | None = None
        """A line: of the projection, or beyond its last an expected pick."""
        self.chosen: QueueItinerary | None = None
        """Which crates of the selected line the keyboard is on."""
        self.trial: DecisionTrial | None = None
        self.trial_at: QPointF | None = None
        """Where the pointer tries it; None: the keyboard does."""
        self.marked_day: date | None = None
        self.all_moves = False
        """Whether moves are drawn of every line, not of the selected one alone."""
        self.view = TimeView(0.0, 2.0, 100.0)
        self._at_home = True
        self._span_h = (0.0, 24.0)
        self._written: list[WrittenBand] | None = None
        self._sizes = Sizes.of(self.font(), with_lane=not compact)
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.horizontalScrollBar().valueChanged.connect(self._on_scrolled_sideways)
        self.verticalScrollBar().valueChanged.connect(self._on_scrolled_down)

    # What is shown

    def set_scene(self, scene: Scene, words: Formats) -> None:
        """Show another scene; the view stays where the user put it."""
        before, same_words = self.scene, words is self.words
        if before is None or not same_words or not _same_bands(scene, before):
            self._written = None
        self.scene, self.words = scene, words
        self._span_h = scene.span_h()
        if before is None or self._at_home:
            self.show_home()
        self._sync_bars()
        rows = None
        if before is not None and same_words:
            rows = scene.rows_unlike(before, self.line_view().visible(scene.rows))
        if rows is None:
            self.viewport().update()
            return
        # Under a hand that moves only these lines look different: all else stays as painted.
        layout, lines = self.layout_now(), self.line_view()
        for row in rows:
            self.viewport().update(_line_rect(layout, lines, row))

    @property
    def sizes(self) -> Sizes:
        """Sizes that follow the font."""
        return self._sizes

    def layout_now(self) -> Layout:
        """Where the parts of the picture stand in the viewport."""
        names_px, crops, days = 0.0, 0, 0
        if self.scene is not None:
            room = names_room(self.viewport().width(), self.compact)
            names_px = natural_width(self.scene.facts, self._sizes, room)
            crops = max((len(band.supplies) for band in self.scene.bands), default=0)
            days = len(self.scene.bands)
        size, sizes = self.viewport().size(), self._sizes
        return lay_out(size.width(), size.height(), sizes, names_px, crops, self.compact, days)

    def spare_corner(self) -> QRect:
        """What is empty over the headings of the names, in pixels of this widget."""
        corner, sizes = self.layout_now().corner, self._sizes
        free = corner.adjusted(_CORNER_PX, 2.0, -_CORNER_PX, -(sizes.small_px + 5.0))
        return free.toRect().translated(self.viewport().pos())

    def line_view(self) -> LineView:
        """Which lines are in sight."""
        top = float(self.verticalScrollBar().value())
        return LineView(top, self._sizes.line_px, self.layout_now().lines.height())

    def in_sight(self) -> list[str]:
        """The batches whose lines can be seen, by id."""
        scene = self.scene
        if scene is None:
            return []
        ids = scene.facts.batch_ids
        lines = map(scene.line_at, self.line_view().visible(len(scene.order)))
        return [ids[line] for line in lines]

    def in_detail(self, line: int) -> bool:
        """Whether the moves of a line are drawn."""
        return self.all_moves or line == self.selected

    def show_all_moves(self, shown: bool) -> None:
        """Draw the moves of every line, or of the selected one alone."""
        self.all_moves = shown
        self.viewport().update()

    def selected_row(self) -> int | None:
        """The row of the selected line, None if it is not among those shown."""
        if self.scene is None or self.selected is None:
            return None
        return self.scene.row_of(self.selected)

    # Moving the view

    def show_home(self) -> None:
        """Some days before today to two weeks after it."""
        if self.scene is None:
            return
        today = day_of(self.scene.now_h, self.scene.zone)
        first, _ = span_of(today - timedelta(days=_HOME_BEFORE_DAYS), self.scene.zone)
        last, _ = span_of(today + timedelta(days=_HOME_DAYS - _HOME_BEFORE_DAYS), self.scene.zone)
        self.show_view(TimeView.showing(first, last, self.layout_now().lines.width()))
        self._at_home = True

    def show_all(self) -> None:
        """The whole season of the lines shown."""
        self.show_view(TimeView.showing(*self._span_h, self.layout_now().lines.width()))
        self.moved.emit()

    def show_view(self, view: TimeView) -> None:
        """Show these hours, as far as the season reaches."""
        self._at_home = False
        view = view.kept_between(*self._span_h)
        if view != self.view:
            self.view = view
            self.viewport().update()
        self._sync_bars()

    def zoom(self, factor: float, about_x: float | None = None) -> None:
        """Widen the hours about a pixel of the lines, or about now or the middle."""
        if about_x is None:
            now_x = self.view.x(self.scene.now_h) if self.scene else -1.0
            about_x = now_x if 0 <= now_x <= self.view.width_px else self.view.width_px / 2.0
        self.show_view(self.view.zoomed(factor, about_x))
        self.moved.emit()

    def pan(self, dx_px: float) -> None:
        """Move the picture sideways under the eye."""
        self.show_view(self.view.panned(dx_px))
        self.moved.emit()

    def _sync_bars(self) -> None:
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        first_h, last_h = self._span_h
        scale = self.view.px_per_h
        across.blockSignals(True)
        across.setPageStep(max(int(self.view.width_px), 1))
        across.setSingleStep(max(int(24 * scale), 1))
        across.setRange(0, max(int((last_h - first_h) * scale - self.view.width_px), 0))
        across.setValue(round((self.view.left_h - first_h) * scale))
        across.blockSignals(False)
        lines = self.scene.rows if self.scene else 0
        page = self.layout_now().lines.height()
        down.setPageStep(max(int(page), 1))
        down.setSingleStep(int(self._sizes.line_px))
        down.setRange(0, max(int(lines * self._sizes.line_px - page), 0))

    def _on_scrolled_sideways(self, value: int) -> None:
        self._at_home = False
        left_h = self._span_h[0] + value / self.view.px_per_h
        self.view = TimeView(left_h, self.view.px_per_h, self.view.width_px)
        self.viewport().update()
        self.moved.emit()

    def _on_scrolled_down(self) -> None:
        self.viewport().update()
        self.moved.emit()

    # Qt's own

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the hours at the left, or today's view if the user has not moved it."""
        super().resizeEvent(event)
        self.view = self.view.resized(self.layout_now().lines.width())
        if self._at_home:
            self.show_home()
        self._sync_bars()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the font's size."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._sizes = Sizes.of(self.font(), with_lane=not self.compact)
            self._written = None
            self.view = self.view.resized(self.layout_now().lines.width())
            self._sync_bars()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """Repaint instead of moving pixels: names and header stand still."""
        self.viewport().update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint ground, lines and header; only what is in sight and looks different."""
        painter = QPainter(self.viewport())
        run_from_left(painter)
        colours = ink(self)
        painter.fillRect(self.viewport().rect(), colours.paper)
        if self.scene is not None and self.words is not None:
            self._paint(painter, event.region(), self.scene, self.words, colours)
        painter.end()

    def _paint(
        self, painter: QPainter, part: QRegion, scene: Scene, words: Formats, colours: Palette
    ) -> None:
        layout, lines, sizes = self.layout_now(), self.line_view(), self._sizes
        trial = self.trial
        if trial is not None:
            scene = trial_scene(scene, trial)
        in_part = (
            n for n in lines.visible(scene.rows) if part.intersects(_line_rect(layout, lines, n))
        )
        lines = replace(lines, only=frozenset(in_part))
        days = days_in(self.view, scene.zone)
        now_x = self.view.x(scene.now_h)
        detailed = {n for n in map(scene.line_at, lines.painted(scene.rows)) if self.in_detail(n)}
        paint_days(painter, layout, days, colours)
        paint_bands(painter, layout, scene.bands, self.view, colours)
        paint_past(painter, layout, now_x, colours)
        self._paint_selection(painter, layout, lines, colours)
        paint_lines(painter, layout.lines, scene, self.view, lines, sizes, colours, detailed)
        paint_expected(painter, layout.lines, scene, self.view, lines, sizes, colours)
        paint_cold(painter, layout.lines, scene, self.view, lines, sizes, colours)
        if sizes.lane_px:
            chosen = self.chosen if trial is None else chosen_in(scene, trial)
            paint_plan(
                painter, layout.lines, scene, self.view, lines, sizes, colours, chosen, detailed
            )
        paint_names(painter, layout, scene, lines, words, sizes, colours)
        names = (tr("now, {time}").format(time=words.time(scene.now_h)), tr("now"))
        heads = [(self.view.x(band.first_h), self.view.x(band.last_h)) for band in scene.bands]
        width_of = QFontMetricsF(sizes.small).horizontalAdvance
        now, box = name_now(layout, now_x, names, width_of, sizes.small_px, heads)
        if part.intersects((layout.corner | layout.header).toAlignedRect()):
            paint_headings(painter, layout, scene, words, sizes, colours)
            painter.save()
            painter.setClipRect(layout.header)
            paint_axis(painter, layout, days, words, sizes, box, colours)
            self._paint_marked_day(painter, layout, days, colours)
            written = self._write_bands(scene, words)
            placed = self.placed_bands()
            paint_labels(painter, written, placed, self.view, layout, scene.now_h, sizes, colours)
            painter.restore()
        painter.setFont(sizes.small)
        paint_now(painter, layout, now_x, box, now, colours)
        if trial is not None:
            self._paint_trial(painter, layout, lines, scene, trial, words, colours)

    def _paint_trial(
        self,
        painter: QPainter,
        layout: Layout,
        lines: LineView,
        scene: Scene,
        trial: DecisionTrial,
        words: Formats,
        colours: Palette,
    ) -> None:
        at, row = self.trial_at, scene.row_of(trial.line)
        if at is None:
            hour = chosen_in(scene, trial).pull_h
            x = self.view.x(scene.now_h if math.isnan(hour) else hour)
            y = lines.y(0 if row is None else row) + lines.line_px
            at = layout.lines.topLeft() + QPointF(min(max(x, 0.0), self.view.width_px), y)
        said = trial_words(scene, trial, words)
        room = QRectF(self.viewport().rect())
        paint_note(painter, room, at, said, trial.cost, self._sizes, colours)

    def placed_bands(self) -> list[Placed]:
        """Where the market days' labels stand, in the order of the scene's bands."""
        if self.scene is None or self.words is None:
            return []
        written, full = self._write_bands(self.scene, self.words), not self.compact
        return place_bands(
            written, self.view, self.layout_now(), self.scene.now_h, self._sizes, full
        )

    def _write_bands(self, scene: Scene, words: Formats) -> list[WrittenBand]:
        """The labels' texts, measured once per scene and font."""
        if self._written is None:
            self._written = write_bands(scene, words, self._sizes)
        return self._written

    def _paint_selection(
        self, painter: QPainter, layout: Layout, lines: LineView, colours: Palette
    ) -> None:
        row = self.selected_row()
        if row is None:
            return
        y = layout.lines.y() + lines.y(row)
        area = QRectF(0, y, self.viewport().width(), lines.line_px)
        painter.save()
        painter.setClipRect(layout.names | layout.lines)
        if colours.chosen == colours.text:  # high contrast: a frame, so that the fills stay legible
            painter.setPen(QPen(colours.text, 2.0))
            painter.drawRect(area.adjusted(1, 1, -1, -1))
        else:
            painter.fillRect(area, colours.chosen)
        if self.hasFocus():
            painter.setPen(QPen(colours.accent, 2.0))
            painter.drawRect(area.adjusted(1, 1, -1, -1))
        painter.restore()

    def _paint_marked_day(
        self, painter: QPainter, layout: Layout, days: QueueDays, colours: Palette
    ) -> None:
        if self.marked_day is None or not self.hasFocus():
            return
        n = (self.marked_day - days.first).days
        if not 0 <= n < len(days):
            return
        left, right = (layout.header.x() + float(days.edges_x[i]) for i in (n, n + 1))
        top = layout.header.bottom() - self._sizes.small_px - 5.0
        painter.setPen(QPen(colours.accent, 2.0))
        painter.drawRect(QRectF(left + 1, top, right - left - 2, self._sizes.small_px + 4.0))


def _line_rect(layout: Layout, lines: LineView, row: int) -> QRect:
    """Where a row's name and fruit are, as far as they are in sight."""
    area = layout.names | layout.lines
    line = QRectF(area.x(), area.y() + lines.y(row), area.width(), lines.line_px)
    return (line & area).toAlignedRect()


def _same_bands(one: Scene, other: Scene) -> bool:
    """Whether the market days of two scenes are written alike, as they are while one is tried."""
    same = one.planned is other.planned and one.crops is other.crops
    return same and (one.bands, one.zone) == (other.bands, other.zone)

"""Draws what is planned in the lane beneath each line's shelf.

Of every line: how many crates go to which market day, a tick with their number there, in a filled
box once they are packed; and in words how many go to none.

Of lines that are shown in detail also how they get there: a thin track while the crates wait where
they are, a thick one once they are pulled, letters for the place. A ring is a move, and a knot in
the last one's place one that is pinned. Crates that are left have a dotted track. Before now stands
where the batch was moved already. Nothing is told by colour.
"""

import math
from collections.abc import Container, Sequence
from dataclasses import replace

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen, QPolygonF

from ripenroom.texts import tr_n
from ripenroom.window.palette import Palette
from ripenroom.window.queue.lanes import (
    WING,
    Lane,
    Tag,
    Track,
    grip_px,
    lane_of,
    ring_spans,
    spread,
)
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, TimeView
from ripenroom.window.theme import bold

_THICK_PX = 2.6
_SIDE_PX = 60.0
"""What begins so far out of sight may still reach into it."""


def paint_plan(
    painter: QPainter,
    rect: QRectF,
    scene: Scene,
    view: TimeView,
    line_view: LineView,
    sizes: Sizes,
    ink: Palette,
    chosen: QueueItinerary | None = None,
    detailed: Container[int] = (),
) -> None:
    """Draw the lanes of every line in sight, moves of the ``detailed`` ones alone.

    ``chosen`` crates are told apart from the others.
    """
    painter.save()
    painter.setClipRect(rect)
    painter.translate(rect.topLeft())
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pens = _Pens(painter, sizes, ink)
    for row in line_view.painted(scene.rows):
        line = scene.line_at(row)
        lane = lane_of(scene, line, row, view, line_view, sizes)
        tags, in_detail = lane.tags, line in detailed
        tracks = lane.tracks if in_detail else ()
        tags = spread(tags, [ring for t in tracks for ring in ring_spans(t, sizes)], pens.tag_px)
        if in_detail:
            for track in lane.tracks:
                pens.track(track, heavy=track.way is chosen)
            taken = pens.taken(replace(lane, tags=tags))
            if line < len(scene.facts.batch_ids):
                moves = scene.facts.moves.get(scene.facts.batch_ids[line], ())
                pens.moved(lane, moves, view, taken)
            pens.marks(lane, view.width_px, taken)
            for track in lane.tracks:
                pens.grip(track, heavy=track.way is chosen)
        for tag in tags:
            if -_SIDE_PX < tag.x < view.width_px + _SIDE_PX:
                pens.tag(lane, tag)
    painter.restore()


def paint_sample(painter: QPainter, rect: QRectF, mark: str, sizes: Sizes, ink: Palette) -> None:
    """One mark of the plan for a legend, by its name there."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pens = _Pens(painter, sizes, ink)
    y, grip = round(rect.center().y()) + 0.5, grip_px(sizes)
    top = y - sizes.lane_px / 2.0
    if mark in ("pull", "knot"):
        middle = rect.center().x()
        painter.setPen(QPen(ink.text, 1.0))
        painter.drawLine(QLineF(rect.x(), y, middle, y))
        painter.setPen(QPen(ink.text, _THICK_PX))
        painter.drawLine(QLineF(middle, y, rect.right(), y))
        if mark == "knot":
            pens.knot(middle, y)
        else:
            painter.setPen(QPen(ink.text, 1.4))
            painter.setBrush(ink.paper)
            painter.drawEllipse(QPointF(middle, y), grip, grip)
    elif mark == "expected":
        dashed = QPen(ink.outline, 1.2)
        dashed.setDashPattern([4.0, 3.0])
        painter.setPen(dashed)
        low = rect.top() + rect.height() * 0.5
        painter.drawPolyline(
            [rect.bottomLeft(), QPointF(rect.x(), low), QPointF(rect.right(), low)]
        )
    else:
        tag = Tag(rect.x() + 2.0, ItineraryEnd.SOLD, 3, packed=mark == "packed", pinned=False)
        pens.tag(Lane(top, (), (tag,)), replace(tag, box_x=tag.x + 2.0))
    painter.restore()


class _Pens:
    """Draws the parts of a lane in one set of inks."""

    def __init__(self, painter: QPainter, sizes: Sizes, ink: Palette) -> None:
        self._painter, self._sizes, self._ink = painter, sizes, ink
        self._metrics = QFontMetricsF(sizes.mark)
        self._heavy = bold(sizes.mark)
        self._heavy_metrics = QFontMetricsF(self._heavy)
        self._thin = QPen(ink.text, 1.0)
        self._thick = QPen(ink.text, _THICK_PX, c=Qt.PenCapStyle.FlatCap)
        self._dotted = QPen(ink.text, 1.2, c=Qt.PenCapStyle.FlatCap)
        self._dotted.setDashPattern([1.5, 3.0])

    def track(self, track: Track, heavy: bool) -> None:
        """From where it waits now to where it is sold."""
        painter, y = self._painter, track.y
        first_x = track.stays[0][0] if track.stays else track.end_x
        if heavy:
            ink = self._ink
            # In high contrast what is chosen has the track's own ink, which must stay to be seen.
            under = ink.holding if ink.chosen == ink.text else ink.chosen
            painter.setPen(QPen(under, self._sizes.lane_px * 0.8))
            painter.drawLine(QLineF(track.start_x, y, track.end_x, y))
        if track.way.fate is ItineraryEnd.LEFT and not track.stays:
            self.track_to(track.start_x, track.end_x, y, ItineraryEnd.LEFT)
            return
        painter.setPen(self._thin)
        painter.drawLine(QLineF(track.start_x, y, first_x, y))
        self.track_to(first_x, track.end_x, y, track.way.fate)

    def track_to(self, from_x: float, to_x: float, y: float, fate: ItineraryEnd) -> None:
        """The last stretch: dotted where nothing takes the crates."""
        self._painter.setPen(self._dotted if fate is ItineraryEnd.LEFT else self._thick)
        self._painter.drawLine(QLineF(from_x, y, to_x, y))

    def taken(self, lane: Lane) -> list[tuple[float, float]]:
        """From where to where ticks, their numbers and grips stand, which no letters may cover."""
        taken = [(tag.x - 3.0, tag.x + 1.0) for tag in lane.tags]
        boxed = [tag for tag in lane.tags if not math.isnan(tag.box_x)]
        taken += [(tag.box_x, tag.box_x + self.tag_px(tag)) for tag in boxed]
        return taken + [ring for t in lane.tracks for ring in ring_spans(t, self._sizes)]

    def marks(self, lane: Lane, width_px: float, taken: list[tuple[float, float]]) -> None:
        """The letters of places, on paper, where there is room for them between the others."""
        grip = grip_px(self._sizes)
        for number, track in enumerate(lane.tracks):
            stays = list(track.stays)
            if number == 0:  # where they are now is the same for all
                stays.insert(0, (max(track.start_x, 0.0) + 3.0, track.way.waits[0][1]))
            for n, (x, mark) in enumerate(stays):
                end_x = stays[n + 1][0] if n + 1 < len(stays) else track.end_x
                self._mark(lane, x + grip + 2.0, mark, end_x, taken, width_px)

    def _mark(
        self,
        lane: Lane,
        x: float,
        mark: str,
        end_x: float,
        taken: list[tuple[float, float]],
        width_px: float,
    ) -> None:
        wide = self._metrics.horizontalAdvance(mark) + 4.0
        right = x + wide
        # Half a word says nothing.
        if x < 0.0 or right > min(end_x, width_px):
            return
        if any(x < last and first < right for first, last in taken):
            return
        taken.append((x, right))
        painter = self._painter
        box = QRectF(x, lane.top, wide, self._sizes.lane_px - 1.0)
        painter.fillRect(box, self._ink.paper)
        painter.setPen(self._ink.text)
        painter.setFont(self._sizes.mark)
        painter.drawText(QPointF(x + 2.0, self._foot(lane)), mark)

    def grip(self, track: Track, heavy: bool) -> None:
        """A ring at each move; at the last one, of which the hand takes hold, a knot where that is
        pinned, and bars where they are written down."""
        y, grip, last = track.y, grip_px(self._sizes), len(track.stays) - 1
        painter = self._painter
        for number, (x, _) in enumerate(track.stays):
            painter.setPen(QPen(self._ink.text, 2.0 if heavy else 1.4))
            painter.setBrush(self._ink.paper)
            if track.way.written:
                painter.drawRect(QRectF(x - 1.5, y - grip, 3.0, 2.0 * grip))
            elif track.way.pinned and number == last:
                self.knot(x, y)
            else:
                painter.drawEllipse(QPointF(x, y), grip, grip)

    def knot(self, x: float, y: float) -> None:
        """Two filled wings that meet in the middle."""
        wing, half = grip_px(self._sizes) * WING, grip_px(self._sizes) * 1.1
        painter = self._painter
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._ink.text)
        for side in (-wing, wing):
            painter.drawPolygon(
                QPolygonF([QPointF(x, y), QPointF(x + side, y - half), QPointF(x + side, y + half)])
            )

    def moved(
        self,
        lane: Lane,
        moves: Sequence[tuple[float, str]],
        view: TimeView,
        taken: list[tuple[float, float]],
    ) -> None:
        """A tick where the batch was moved, and the letters of the place it went to, which are then
        ``taken`` as well: those of a move a moment ago reach over what is planned."""
        free_x = 0.0  # half a word says nothing
        for hour, mark in moves:
            x = round(view.x(hour)) + 0.5
            wide = self._metrics.horizontalAdvance(mark) + 3.0
            if not free_x <= x <= view.width_px - wide:
                continue
            right = x + wide + 1.0
            letters = not any(x < last and first < right for first, last in taken)
            box = QRectF(x, lane.top, wide, self._sizes.lane_px - 1.0)
            if letters:
                taken.append((x, right))
                self._painter.fillRect(box, self._ink.paper)
            self._painter.setPen(self._thin)
            self._painter.drawLine(QLineF(x, lane.top, x, box.bottom()))
            if letters:
                self._painter.setFont(self._sizes.mark)
                self._painter.drawText(QPointF(x + 3.0, self._foot(lane)), mark)
            free_x = x + wide + 3.0

    def tag_px(self, tag: Tag) -> float:
        """How wide the number of a tag is, or its words."""
        words = self._tag_words(tag)
        room = self._heavy_metrics.horizontalAdvance(words) + 5.0
        knot = 2.0 * grip_px(self._sizes) * WING + 4.0
        return room + (knot if self._has_knot(tag) else 0.0)

    def tag(self, lane: Lane, tag: Tag) -> None:
        """How many crates leave, at a tick if for a market day; else in words."""
        painter, high, x = self._painter, self._sizes.lane_px - 1.0, tag.x
        if tag.fate is ItineraryEnd.SOLD:
            painter.setPen(QPen(self._ink.text, 2.0))
            painter.drawLine(QLineF(x, lane.top - 1.0, x, lane.top + high + 1.0))
        if math.isnan(tag.box_x):
            return
        words = self._tag_words(tag)
        wide = self._heavy_metrics.horizontalAdvance(words) + 5.0
        box = QRectF(tag.box_x, lane.top, wide, high)
        painter.fillRect(box, self._ink.text if tag.packed else self._ink.paper)
        if self._has_knot(tag):
            middle = lane.top + high / 2.0
            self.knot(box.right() + grip_px(self._sizes) * WING + 2.0, middle)
        painter.setFont(self._heavy)
        painter.setPen(self._ink.paper if tag.packed else self._ink.text)
        painter.drawText(QPointF(box.x() + 2.5, self._foot(lane)), words)

    def _has_knot(self, tag: Tag) -> bool:
        return tag.pinned and not tag.packed and tag.fate in (ItineraryEnd.SOLD, ItineraryEnd.LEFT)

    def _tag_words(self, tag: Tag) -> str:
        if tag.fate is ItineraryEnd.SECOND_GRADE:
            return tr_n("{n} to second grade", "{n} to second grade", tag.crates)
        if tag.fate is ItineraryEnd.LEFT:
            return tr_n("{n} left over", "{n} left over", tag.crates)
        if tag.fate is ItineraryEnd.CLEARED:
            return tr_n("clear {n}", "clear {n}", tag.crates)
        return str(tag.crates)

    def _foot(self, lane: Lane) -> float:
        return lane.top + self._sizes.lane_px - 2.0

"""Draws what is planned in the lane beneath each line's shelf.

A thin track while the crates wait where they are, a thick one once they are pulled; letters say in
which place. A ring is the pull, and a knot in its place one that is pinned. Where the crates are
sold a tick stands with their number, in a filled box once they are packed. Crates that are left
have a dotted track with an open end; those that are cleared away a cross. Nothing is told by
colour.
"""

import math

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen, QPolygonF

from ripenroom.window.palette import Palette
from ripenroom.window.queue.lanes import Lane, Tag, Track, lane_of
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, TimeView
from ripenroom.window.theme import bold

_THICK_PX = 2.6
_WING = 1.7
"""How far a knot reaches to each side, against the ring of a pull."""
_SAMPLED = {
    "left": ItineraryEnd.LEFT,
    "second": ItineraryEnd.SECOND_GRADE,
    "cleared": ItineraryEnd.CLEARED,
}
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
) -> None:
    """Draw the lanes of every line in sight; ``chosen`` crates are told apart from the others."""
    if scene.planned is None:
        return
    painter.save()
    painter.setClipRect(rect)
    painter.translate(rect.topLeft())
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pens = _Pens(painter, sizes, ink)
    for row in line_view.visible(scene.rows):
        line = scene.line_at(row)
        lane = lane_of(scene, line, row, view, line_view, sizes)
        for track in lane.tracks:
            pens.track(track, heavy=track.way is chosen)
        pens.marks(lane, view.width_px)
        for track in lane.tracks:
            pens.grip(track, heavy=track.way is chosen)
        for tag in lane.tags:
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
        fate = _SAMPLED.get(mark, ItineraryEnd.SOLD)
        tag = Tag(rect.right() - 13.0, fate, 3, packed=mark == "packed", pinned=False)
        if fate is not ItineraryEnd.CLEARED:
            pens.track_to(rect.x(), tag.x, y, fate)
        pens.tag(Lane(top, (), (tag,)), tag)
    painter.restore()


def grip_px(sizes: Sizes) -> float:
    """Half the width of a pull's ring."""
    return max(sizes.lane_px * 0.32, 3.0)


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

    def marks(self, lane: Lane, width_px: float) -> None:
        """The letters of places, on paper, where there is room for them between the others."""
        taken = [(tag.x - 3.0, tag.x + 22.0) for tag in lane.tags]
        grip = grip_px(self._sizes)
        taken += [(t.pull_x - grip, t.pull_x + grip) for t in lane.tracks if t.pull_x == t.pull_x]
        for number, track in enumerate(lane.tracks):
            stays = list(track.stays)
            if number == 0:  # where they are now is the same for all
                stays.insert(0, (max(track.start_x, 0.0) + 3.0, track.way.waits[0][1]))
            for x, mark in stays:
                self._mark(lane, x + grip + 2.0, mark, track.end_x, taken, width_px)

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
        if not -wide < x < width_px or right > end_x:
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
        """A ring to take hold of at the pull; a knot where that is pinned, a bar where written."""
        x, y, grip = track.pull_x, track.y, grip_px(self._sizes)
        if math.isnan(x) or track.way.fate is ItineraryEnd.SECOND_GRADE:
            return
        painter = self._painter
        painter.setPen(QPen(self._ink.text, 2.0 if heavy else 1.4))
        painter.setBrush(self._ink.paper)
        if track.way.written:
            painter.drawRect(QRectF(x - 1.5, y - grip, 3.0, 2.0 * grip))
        elif track.way.pinned:
            self.knot(x, y)
        else:
            painter.drawEllipse(QPointF(x, y), grip, grip)

    def knot(self, x: float, y: float) -> None:
        """Two filled wings that meet in the middle."""
        wing, half = grip_px(self._sizes) * _WING, grip_px(self._sizes) * 1.1
        painter = self._painter
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._ink.text)
        for side in (-wing, wing):
            painter.drawPolygon(
                QPolygonF([QPointF(x, y), QPointF(x + side, y - half), QPointF(x + side, y + half)])
            )

    def tag(self, lane: Lane, tag: Tag) -> None:
        """What becomes of crates at the end of their track, and how many there are."""
        painter, high = self._painter, self._sizes.lane_px - 1.0
        text = str(tag.crates)
        wide = self._heavy_metrics.horizontalAdvance(text) + 5.0
        x, middle = tag.x, lane.top + high / 2.0
        box = QRectF(x + 1.0, lane.top, wide, high)
        painter.setFont(self._heavy)
        if tag.fate is ItineraryEnd.CLEARED:
            painter.setPen(QPen(self._ink.text, 1.6))
            arm = high * 0.3
            cross = x + 6.0 + arm
            painter.drawLine(QLineF(cross - arm, middle - arm, cross + arm, middle + arm))
            painter.drawLine(QLineF(cross - arm, middle + arm, cross + arm, middle - arm))
            box = box.translated(6.0 + 2.0 * arm + 2.0, 0.0)
        painter.fillRect(box, self._ink.text if tag.packed else self._ink.paper)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if tag.fate is ItineraryEnd.SOLD:
            painter.setPen(QPen(self._ink.text, 2.0))
            painter.drawLine(QLineF(x, lane.top - 1.0, x, lane.top + high + 1.0))
        elif tag.fate is ItineraryEnd.SECOND_GRADE:
            painter.setPen(QPen(self._ink.text, 1.4))
            painter.setBrush(self._ink.paper)
            painter.drawPolygon(
                QPolygonF(
                    [
                        QPointF(x - high * 0.45, lane.top + 1.0),
                        QPointF(x + high * 0.45, lane.top + 1.0),
                        QPointF(x, lane.top + high - 1.0),
                    ]
                )
            )
            box = box.translated(high * 0.45 + 1.0, 0.0)
        elif tag.fate is ItineraryEnd.LEFT:
            painter.setPen(QPen(self._ink.text, 1.0))
            painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
        if tag.pinned and not tag.packed and tag.fate in (ItineraryEnd.SOLD, ItineraryEnd.LEFT):
            self.knot(box.right() + grip_px(self._sizes) * _WING + 2.0, middle)
        painter.setPen(self._ink.paper if tag.packed else self._ink.text)
        painter.drawText(QPointF(box.x() + 2.5, self._foot(lane)), text)

    def _foot(self, lane: Lane) -> float:
        return lane.top + self._sizes.lane_px - 2.0

"""What lies under a point of the queue: a day, a batch, a market day, a handle of the plan."""

import math
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from PySide6.QtCore import QPointF

from ripenroom.texts import tr
from ripenroom.window.queue.lanes import Track, grip_px, lane_of
from ripenroom.window.queue.layout import Form
from ripenroom.window.queue.paint_bands import TICK_PX
from ripenroom.window.queue.paint_batches import DRAWN_H
from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary
from ripenroom.window.queue.scene import ExpectedPickLine, MarketBand
from ripenroom.window.queue.shapes import tail_end_h
from ripenroom.window.queue.time_view import day_of


def day_at(picture: QueuePicture, x: float) -> date | None:
    """The local day under a pixel of the viewport."""
    area = picture.layout_now().lines
    if picture.scene is None or not area.left() <= x <= area.right():
        return None
    return day_of(picture.view.hour(x - area.x()), picture.scene.zone)


def line_at(picture: QueuePicture, point: QPointF) -> int | None:
    """The projection's line under a point of the viewport."""
    area = picture.layout_now().lines
    if picture.scene is None or point.y() < area.top():
        return None
    row = picture.line_view().line_at(point.y() - area.top(), picture.scene.rows)
    return None if row is None else picture.scene.line_at(row)


def fruit_at(picture: QueuePicture, point: QPointF) -> int | None:
    """The line whose drawn fruit or name is under a point; None on empty space.

    What is not picked yet is no fruit.
    """
    line, scene = line_at(picture, point), picture.scene
    if line is None or scene is None or scene.expected_at(line) is not None:
        return None
    area = picture.layout_now().lines
    if point.x() < area.x():
        return line
    hour = picture.view.hour(point.x() - area.x())
    drawn = scene.facts.picked_h[line] <= hour <= tail_end_h(scene.projection, line)
    return line if drawn else None


def pick_at(picture: QueuePicture, point: QPointF) -> ExpectedPickLine | None:
    """The expected pick whose outline or name is under a point; None on empty space."""
    line, scene = line_at(picture, point), picture.scene
    pick = scene.expected_at(line) if line is not None and scene is not None else None
    if pick is None:
        return None
    area = picture.layout_now().lines
    hour = picture.view.hour(point.x() - area.x())
    drawn = pick.picked_h <= hour <= pick.picked_h + DRAWN_H
    return pick if drawn or point.x() < area.x() else None


def band_at(picture: QueuePicture, point: QPointF) -> MarketBand | None:
    """The market day whose label, or whose day in the axis, is under a point.

    Of several on one day that whose label has no room: the others are pointed at by theirs.
    """
    layout = picture.layout_now()
    if picture.scene is None or not layout.header.contains(point):
        return None
    x, foot = point.x() - layout.header.x(), layout.header.bottom() - layout.axis_px
    both = list(zip(picture.scene.bands, picture.placed_bands(), strict=True))
    for band, placed in both:
        if placed.form is not Form.TICK and placed.covers(x, foot - point.y()):
            return band
    if point.y() < foot - TICK_PX:
        return None
    hour = picture.view.hour(x)
    of_day = [(band, placed) for band, placed in both if band.first_h <= hour < band.last_h]
    bare = (band for band, placed in of_day if placed.form is Form.TICK)
    return next(bare, of_day[0][0] if of_day else None)


_REACH_PX: Final = 4.0
"""So far beside a grip a hand still gets hold of it."""


class DragHandleKind(StrEnum):
    """What is taken hold of."""

    PULL = "pull"
    MARKET = "market"


@dataclass(frozen=True, slots=True)
class DragHandle:
    """A grip of one way of a line."""

    kind: DragHandleKind
    line: int
    way: QueueItinerary


def grip_at(picture: QueuePicture, point: QPointF) -> DragHandle | None:
    """The grip under a point of the viewport; the nearest track's where several cross."""
    scene, line = picture.scene, line_at(picture, point)
    if scene is None or line is None or scene.expected_at(line) is not None:
        return None
    row = scene.row_of(line)
    area, sizes = picture.layout_now().lines, picture.sizes
    if row is None or not area.contains(point) or not sizes.lane_px:
        return None
    lane = lane_of(scene, line, row, picture.view, picture.line_view(), sizes)
    x, y = point.x() - area.x(), point.y() - area.y()
    if not lane.top - _REACH_PX <= y <= lane.top + sizes.lane_px + _REACH_PX:
        return None
    reach, tag_px = grip_px(sizes) + _REACH_PX, sizes.lane_px * 1.5 + _REACH_PX
    near: list[tuple[float, DragHandle]] = []
    for track in lane.tracks:
        kind = _kind_at(track, x, reach, tag_px)
        hidden = kind is DragHandleKind.PULL and not picture.in_detail(line)
        if kind is not None and not hidden:
            near.append((abs(track.y - y), DragHandle(kind, line, track.way)))
    return min(near, key=lambda pair: pair[0])[1] if near else None


def _kind_at(track: Track, x: float, reach: float, tag_px: float) -> DragHandleKind | None:
    way = track.way
    # What is packed stands on the van: its pull is done with.
    if not math.isnan(track.pull_x) and abs(x - track.pull_x) <= reach:
        can_move = (
            not way.written
            and way.fate in (ItineraryEnd.SOLD, ItineraryEnd.LEFT)
            and not way.line.packed
        )
        return DragHandleKind.PULL if can_move else None
    if (
        way.fate is ItineraryEnd.SOLD
        and not way.line.packed
        and -_REACH_PX <= x - track.end_x <= tag_px
    ):
        return DragHandleKind.MARKET
    return None


def grip_words(grip: DragHandle) -> str:
    """What can be done with a grip."""
    if grip.kind is DragHandleKind.PULL:
        return tr("Drag it to another evening; what that costs is shown meanwhile.")
    return tr("Drag it to another market day; what that costs is shown meanwhile.")

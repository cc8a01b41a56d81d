"""What of the plan can be taken hold of under a point: a pull, or a market day's tick."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from PySide6.QtCore import QCoreApplication, QPointF

from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.plan_shapes import Track, grip_px, lane_of
from ripenroom.window.queue.under_hand import line_at
from ripenroom.window.queue.ways import Fate, Way

_REACH_PX: Final = 4.0
"""So far beside a grip a hand still gets hold of it."""


class GripKind(StrEnum):
    """What is taken hold of."""

    PULL = "pull"
    MARKET = "market"


@dataclass(frozen=True, slots=True)
class Grip:
    """A grip of one way of a line."""

    kind: GripKind
    line: int
    way: Way


def grip_at(picture: QueuePicture, point: QPointF) -> Grip | None:
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
    near: list[tuple[float, Grip]] = []
    for track in lane.tracks:
        kind = _kind_at(track, x, reach, tag_px)
        hidden = kind is GripKind.PULL and not picture.in_detail(line)
        if kind is not None and not hidden:
            near.append((abs(track.y - y), Grip(kind, line, track.way)))
    return min(near, key=lambda pair: pair[0])[1] if near else None


def _kind_at(track: Track, x: float, reach: float, tag_px: float) -> GripKind | None:
    way = track.way
    # What is packed stands on the van: its pull is done with.
    if not math.isnan(track.pull_x) and abs(x - track.pull_x) <= reach:
        can_move = not way.written and way.fate in (Fate.SOLD, Fate.LEFT) and not way.line.packed
        return GripKind.PULL if can_move else None
    if way.fate is Fate.SOLD and not way.line.packed and -_REACH_PX <= x - track.end_x <= tag_px:
        return GripKind.MARKET
    return None


def grip_words(grip: Grip) -> str:
    """What can be done with a grip."""
    if grip.kind is GripKind.PULL:
        return QCoreApplication.translate(
            "Queue", "Drag it to another evening; what that costs is shown meanwhile."
        )
    return QCoreApplication.translate(
        "Queue", "Drag it to another market day; what that costs is shown meanwhile."
    )

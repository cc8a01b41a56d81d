"""What is drawn under a point of the queue."""

from datetime import date

from PySide6.QtCore import QPointF

from ripenroom.window.queue.band_places import Form
from ripenroom.window.queue.days import day_of
from ripenroom.window.queue.expected import Expected
from ripenroom.window.queue.expected_lines import DRAWN_H
from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.scene import Band
from ripenroom.window.queue.shapes import tail_end_h


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


def pick_at(picture: QueuePicture, point: QPointF) -> Expected | None:
    """The expected pick whose outline or name is under a point; None on empty space."""
    line, scene = line_at(picture, point), picture.scene
    pick = scene.expected_at(line) if line is not None and scene is not None else None
    if pick is None:
        return None
    area = picture.layout_now().lines
    hour = picture.view.hour(point.x() - area.x())
    drawn = pick.picked_h <= hour <= pick.picked_h + DRAWN_H
    return pick if drawn or point.x() < area.x() else None


def band_at(picture: QueuePicture, point: QPointF) -> Band | None:
    """The market day whose label, or whose day in the axis, is under a point."""
    layout = picture.layout_now()
    if picture.scene is None or not layout.header.contains(point):
        return None
    x, foot = point.x() - layout.header.x(), layout.header.bottom() - layout.axis_px
    for band, placed in zip(picture.scene.bands, picture.placed_bands(), strict=True):
        if placed.form is not Form.TICK and placed.covers(x, foot - point.y()):
            return band
        if point.y() >= foot and band.first_h <= picture.view.hour(x) < band.last_h:
            return band
    return None

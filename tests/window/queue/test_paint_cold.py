"""The star where the cold spoils a batch: it is seen, and stands on no other mark."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from PySide6.QtCore import QPoint, QRect, QRectF
from PySide6.QtGui import QFont, QImage, QPainter
from pytestqt.qtbot import QtBot

from ripenroom.season.projection import EndCause, Ranged
from ripenroom.window.palette import LIGHT
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_batches import paint_lines
from ripenroom.window.queue.paint_cold import paint_cold, spoilt_by_cold
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, TimeView

MakeScene = Callable[..., Scene]
RECT = QRectF(0.0, 0.0, 800.0, 90.0)
LINES = LineView(0.0, 45.0, 90.0)


def chilled(make_scene: MakeScene, closes_days: float) -> Scene:
    """Two batches; the cold ends the first in so many days, before it is ready."""
    scene = make_scene([(1.0, closes_days), (1.0, 3.0)])
    projection = scene.projection
    at = projection.opens_h
    opens = Ranged(*(np.where([True, False], np.nan, end) for end in (at.low, at.mid, at.high)))
    cause = np.array([EndCause.CHILLING, EndCause.CHILLING], dtype=np.int8)
    return replace(scene, projection=replace(projection, opens_h=opens, end_cause=cause))


def painted(scene: Scene, cold: bool) -> QImage:
    shown = QImage(800, 90, QImage.Format.Format_RGB32)
    shown.fill(LIGHT.paper)
    painter, view = QPainter(shown), TimeView(scene.now_h - 48.0, 4.0, 800.0)
    sizes = Sizes.of(QFont(), with_lane=True)
    paint_lines(painter, RECT, scene, view, LINES, sizes, LIGHT)
    before = shown.copy()
    if cold:
        paint_cold(painter, RECT, scene, view, LINES, sizes, LIGHT)
    painter.end()
    return shown if cold else before


def changed(scene: Scene) -> QRect:
    """Where the star and its word are painted; none of it on anything but paper."""
    before, after = painted(scene, cold=False), painted(scene, cold=True)
    spots = [
        QPoint(x, y)
        for x in range(800)
        for y in range(90)
        if before.pixel(x, y) != after.pixel(x, y)
    ]
    assert all(before.pixelColor(spot) == LIGHT.paper for spot in spots)
    found = QRect()
    for spot in spots:
        found = found.united(QRect(spot, spot))
    return found


def test_only_what_the_cold_ends_before_it_is_ready_has_it(
    qtbot: QtBot, make_scene: MakeScene
) -> None:
    scene = chilled(make_scene, 2.0)
    assert spoilt_by_cold(scene.projection).tolist() == [True, False]
    soft = np.full(2, EndCause.TOO_SOFT, dtype=np.int8)
    other = replace(scene, projection=replace(scene.projection, end_cause=soft))
    assert not spoilt_by_cold(other.projection).any()
    gone = replace(scene, projection=replace(scene.projection, left=np.zeros(2)))
    assert not spoilt_by_cold(gone.projection).any()
    assert changed(other).isEmpty()


def test_the_star_stands_at_the_day_with_its_word_behind(
    qtbot: QtBot, make_scene: MakeScene
) -> None:
    scene = chilled(make_scene, 2.0)
    view = TimeView(scene.now_h - 48.0, 4.0, 800.0)
    found, x = changed(scene), view.x(scene.now_h + 48.0)
    assert abs(found.left() - x) < 10
    assert found.width() > 40
    assert found.bottom() < 45  # above the shelf of its own line


def test_near_the_end_of_the_picture_the_word_stands_before_it(
    qtbot: QtBot, make_scene: MakeScene
) -> None:
    scene = chilled(make_scene, 6.2)
    view = TimeView(scene.now_h - 48.0, 4.0, 800.0)
    found, x = changed(scene), view.x(scene.now_h + 6.2 * 24.0)
    assert abs(found.right() - x) < 10
    assert found.left() < x - 40
    assert changed(chilled(make_scene, 30.0)).isEmpty()


def test_what_may_have_begun_is_told_after_now(qtbot: QtBot, make_scene: MakeScene) -> None:
    scene = chilled(make_scene, 0.05)
    view = TimeView(scene.now_h - 48.0, 4.0, 800.0)
    assert changed(scene).left() > view.x(scene.now_h) + 1

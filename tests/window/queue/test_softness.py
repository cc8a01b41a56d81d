"""Soft edges: opacity of "ready" pixel by pixel."""

from collections.abc import Callable

import numpy as np
from PySide6.QtGui import QColor

from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.shapes import alphas, image, shapes_of
from ripenroom.window.queue.time_view import TimeView

MakeScene = Callable[..., Scene]
WIDTH = 800


def opacity(scene: Scene, px_per_h: float = 4.0) -> np.ndarray:
    view = TimeView(scene.now_h, px_per_h, WIDTH)
    return alphas(shapes_of(scene.projection, scene.facts, scene.order, view), WIDTH)


def test_ramps_from_low_over_half_at_the_estimate_to_high(make_scene: MakeScene) -> None:
    row = opacity(make_scene([(2.0, 6.0)], spread_days=0.5))[0].astype(int)
    low, mid, high = 36 * 4, 48 * 4, 60 * 4
    assert row[low - 2] == 0
    assert abs(row[mid] - 128) < 6
    assert row[high + 2] == 255
    assert np.all(np.diff(row[low:high]) >= 0)
    closes = 144 * 4
    assert row[closes - 50] == 255
    assert abs(row[closes] - 128) < 6
    assert row[closes + 50] == 0


def test_the_less_is_known_the_wider_the_edge(make_scene: MakeScene) -> None:
    sharp = opacity(make_scene([(2.0, 6.0)], spread_days=0.1))[0]
    wide = opacity(make_scene([(2.0, 6.0)], spread_days=1.0))[0]

    def soft(row: np.ndarray) -> int:
        return int(((row > 0) & (row < 255)).sum())

    assert soft(wide) > 5 * soft(sharp)


def test_overlapping_ranges_are_still_full_on_the_best_day(make_scene: MakeScene) -> None:
    scene = make_scene([(2.0, 4.0)], spread_days=3.0)
    row = opacity(scene)[0]
    assert row[3 * 24 * 4] >= 250
    assert row[0] < 60


def test_fruit_that_is_never_ready_is_not_drawn(make_scene: MakeScene) -> None:
    assert not opacity(make_scene([(float("nan"), float("nan"))])).any()


def test_image_has_the_colour_at_the_opacity() -> None:
    shown = image(np.array([[0, 128, 255]], dtype=np.uint8), QColor(107, 51, 87))
    assert shown.pixelColor(0, 0).alpha() == 0
    assert shown.pixelColor(1, 0).alpha() == 128
    assert shown.pixelColor(2, 0) == QColor(107, 51, 87)


def test_image_of_no_lines_is_empty() -> None:
    assert image(np.zeros((0, 10), dtype=np.uint8), QColor("black")).isNull()

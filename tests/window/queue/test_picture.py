"""The picture moves, zooms and follows its scene."""

from collections.abc import Callable

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.scene import Scene
from ripenroom.wording.formats import Formats

MakeScene = Callable[..., Scene]
MakePicture = Callable[[Scene], QueuePicture]


@pytest.fixture
def make_picture(qtbot: QtBot, words: Formats) -> MakePicture:
    def make(scene: Scene) -> QueuePicture:
        picture = QueuePicture()
        qtbot.addWidget(picture)
        picture.resize(1000, 500)
        picture.show()
        picture.set_scene(scene, words)
        return picture

    return make


def test_at_first_today_is_in_sight_with_two_weeks_to_come(
    make_picture: MakePicture, make_scene: MakeScene
) -> None:
    scene = make_scene([(1.0, 5.0)])
    view = make_picture(scene).view
    assert view.left_h < scene.now_h < view.right_h
    assert view.right_h - scene.now_h > 13 * 24


def test_whole_season_shows_first_pick_and_last_close(
    make_picture: MakePicture, make_scene: MakeScene
) -> None:
    scene = make_scene([(1.0, 60.0)])
    picture = make_picture(scene)
    picture.show_all()
    assert picture.view.left_h <= scene.facts.picked_h.min()
    assert picture.view.right_h >= scene.projection.closes_h.high.max()


def test_a_new_scene_leaves_the_view_where_the_user_put_it(
    make_picture: MakePicture, make_scene: MakeScene, words: Formats
) -> None:
    picture = make_picture(make_scene([(1.0, 60.0)]))
    picture.zoom(2.0)
    picture.pan(-200.0)
    before = picture.view
    picture.set_scene(make_scene([(2.0, 61.0)]), words)
    assert picture.view == before


def test_scroll_bars_go_with_the_view(make_picture: MakePicture, make_scene: MakeScene) -> None:
    picture = make_picture(make_scene([(1.0, 5.0)] * 100))
    down, across = picture.verticalScrollBar(), picture.horizontalScrollBar()
    down.setValue(down.maximum())
    assert picture.line_view().visible(100).stop == 100
    across.setValue(0)
    assert picture.view.left_h == pytest.approx(picture.scene.span_h()[0])  # type: ignore[union-attr]
    picture.pan(-100.0)
    assert across.value() == pytest.approx(100, abs=1)


def test_wider_window_keeps_the_scale(make_picture: MakePicture, make_scene: MakeScene) -> None:
    picture = make_picture(make_scene([(1.0, 60.0)]))
    picture.zoom(1.5)
    scale = picture.view.px_per_h
    picture.resize(1400, 500)
    assert picture.view.px_per_h == scale
    assert picture.view.width_px > 800


def test_an_empty_scene_is_painted_too(make_picture: MakePicture, make_scene: MakeScene) -> None:
    picture = make_picture(make_scene([]))
    assert picture.selected_row() is None
    assert not picture.grab().isNull()

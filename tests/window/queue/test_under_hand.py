"""What is under a point: a day, a line, its fruit, a market day."""

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import QPointF
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.layout import Form
from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.under_pointer import band_at, day_at, fruit_at, line_at
from ripenroom.wording.formats import Formats

MakeScene = Callable[..., Scene]


@pytest.fixture
def picture(qtbot: QtBot, make_scene: MakeScene, words: Formats) -> QueuePicture:
    made = QueuePicture()
    qtbot.addWidget(made)
    made.resize(1000, 500)
    made.show()
    made.set_scene(make_scene([(1.0, 3.0), (1.0, 5.0)], {2: "Village market"}), words)
    return made


def point(picture: QueuePicture, row: int, days: float) -> QPointF:
    assert picture.scene is not None
    area, lines = picture.layout_now().lines, picture.line_view()
    x = area.x() + picture.view.x(picture.scene.now_h + 24.0 * days)
    return QPointF(x, area.y() + lines.y(row) + lines.line_px / 2.0)


def test_fruit_begins_at_the_pick_and_ends_with_its_tail(picture: QueuePicture) -> None:
    assert fruit_at(picture, point(picture, 0, -2.9)) == 0
    assert fruit_at(picture, point(picture, 0, -3.1)) is None
    assert fruit_at(picture, point(picture, 0, 5.0)) == 0
    assert fruit_at(picture, point(picture, 0, 6.0)) is None
    assert line_at(picture, point(picture, 0, 6.0)) == 0


def test_a_name_belongs_to_its_fruit(picture: QueuePicture) -> None:
    assert fruit_at(picture, QPointF(10.0, point(picture, 1, 0.0).y())) == 1


def test_below_the_last_line_there_is_nothing(picture: QueuePicture) -> None:
    assert line_at(picture, point(picture, 2, 0.0)) is None
    assert fruit_at(picture, point(picture, 2, 0.0)) is None


def test_days_are_only_over_the_lines(picture: QueuePicture) -> None:
    assert day_at(picture, point(picture, 0, 2.0).x()) == date(2026, 9, 26)
    assert day_at(picture, 3.0) is None


def test_a_market_day_is_found_by_label_and_by_its_day_in_the_dates(picture: QueuePicture) -> None:
    layout, placed = picture.layout_now(), picture.placed_bands()[0]
    foot = layout.header.bottom() - layout.axis_px
    on_label = QPointF(layout.header.x() + placed.x + 5.0, foot - placed.above - 5.0)
    on_date = QPointF(point(picture, 0, 2.0).x(), layout.header.bottom() - 4.0)
    for spot in (on_label, on_date):
        band = band_at(picture, spot)
        assert band is not None
        assert band.name == "Village market"
    assert band_at(picture, QPointF(point(picture, 0, 4.0).x(), on_date.y())) is None
    assert band_at(picture, point(picture, 0, 2.0)) is None


def test_of_two_market_days_on_one_the_one_without_a_name_is_found_below_the_labels(
    qtbot: QtBot, make_scene: MakeScene, words: Formats
) -> None:
    names = {2: "Village market", 3: "Shop", 4: "Gate", 5: "Harbour market", 6: "Fair"}
    scene = make_scene([(1.0, 3.0)], names)
    picture = QueuePicture()
    qtbot.addWidget(picture)
    picture.compact = True
    picture.resize(420, 300)
    picture.show()
    picture.set_scene(scene, words)
    layout, placed = picture.layout_now(), picture.placed_bands()
    foot = layout.header.bottom() - layout.axis_px
    bare = [band for band, one in zip(scene.bands, placed, strict=True) if one.form is Form.TICK]
    seen = [band for band in bare if 0.0 < picture.view.x(band.starts_h) < picture.view.width_px]
    assert seen
    for band in seen:
        spot = QPointF(layout.header.x() + picture.view.x(band.starts_h), foot + 2.0)
        assert band_at(picture, spot) is band

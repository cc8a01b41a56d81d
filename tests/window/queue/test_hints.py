"""What is shortened in the queue is said in full where the pointer rests on it."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.canvas import QueueCanvas
from ripenroom.window.queue.hints import HintedPicture, hint_at
from ripenroom.window.queue.layout import Form
from ripenroom.window.queue.scene import Scene
from ripenroom.wording.formats import Formats

LONG = "A market with quite a long name in the village"


@pytest.fixture
def picture(qtbot: QtBot, make_scene: Callable[..., Scene], words: Formats) -> HintedPicture:
    """A narrow picture beside something else."""
    widget = HintedPicture(compact=True)
    qtbot.addWidget(widget)
    widget.resize(420, 300)
    widget.set_scene(make_scene([(1.0, 5.0)], {2: LONG}), words)
    widget.show()
    return widget


def test_a_market_day_whose_name_is_cut_has_it_in_full(picture: HintedPicture) -> None:
    layout = picture.layout_now()
    [placed] = picture.placed_bands()
    assert placed.form is not Form.TICK
    x = layout.header.x() + placed.x + placed.width / 2.0
    y = layout.header.bottom() - layout.axis_px - placed.height / 2.0
    assert LONG in hint_at(picture, QPointF(x, y))
    QTest.mouseMove(picture.viewport(), QPoint(round(x), round(y)))
    assert LONG in picture.viewport().toolTip()
    QTest.mouseMove(picture.viewport(), QPoint(round(x), round(layout.lines.bottom()) - 20))
    assert picture.viewport().toolTip() == ""


def test_the_canvas_has_hints_too(
    qtbot: QtBot, make_scene: Callable[..., Scene], words: Formats
) -> None:
    canvas = QueueCanvas()
    qtbot.addWidget(canvas)
    canvas.resize(900, 400)
    canvas.show()
    canvas.set_scene(make_scene([(1.0, 5.0)], {2: LONG}), words)
    area = canvas.layout_now().names
    QTest.mouseMove(canvas.viewport(), QPoint(5, round(area.y() + canvas.sizes.line_px / 2.0)))
    assert canvas.viewport().toolTip().splitlines()[1] == "Pawpaw"


def test_a_line_has_its_names_in_full(picture: HintedPicture) -> None:
    scene, layout = picture.scene, picture.layout_now()
    assert scene is not None
    middle = layout.names.y() + picture.sizes.line_px / 2.0
    said = hint_at(picture, QPointF(5.0, middle)).splitlines()
    assert said[0] == scene.facts.codes[0]
    assert said[-1] == scene.facts.places[0]
    # Nothing is shortened on the fruit, nor below the last line.
    assert hint_at(picture, QPointF(layout.lines.x() + 40.0, middle)) == ""
    assert hint_at(picture, QPointF(5.0, middle + 2.0 * picture.sizes.line_px)) == ""

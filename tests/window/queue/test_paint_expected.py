"""Expected picks in pixels and among the other lines."""

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import QPoint, QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.market import ExpectedPick
from ripenroom.window.palette import LIGHT
from ripenroom.window.queue.canvas import QueueCanvas
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_expected import paint_expected
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, TimeView
from ripenroom.wording.formats import Formats
from tests.window.queue.conftest import NOW_H, line

MakePlanned = Callable[..., Scene]
PICK = ExpectedPick(id="pick", crop="pawpaw", on=date(2026, 9, 25), count=40, place_id="cold")
WAY = line("", expected_pick_id="pick", crates=2)


@pytest.fixture
def canvas(qtbot: QtBot, make_planned: MakePlanned, words: Formats) -> QueueCanvas:
    made = QueueCanvas()
    qtbot.addWidget(made)
    made.resize(1100, 500)
    made.show()
    made.set_scene(make_planned(2, WAY, expected=[PICK]), words)
    made.setFocus()
    return made


def test_a_pick_is_drawn_below_all_batches_from_its_day_on(
    qapp: QApplication, make_planned: MakePlanned
) -> None:
    sizes = Sizes.of(qapp.font(), with_lane=True)
    scene = make_planned(1, expected=[PICK])
    image = QImage(400, round(sizes.line_px * 2), QImage.Format.Format_RGB32)
    image.fill(LIGHT.paper)
    painter = QPainter(image)
    view = LineView(0.0, sizes.line_px, sizes.line_px * 2)
    times = TimeView(NOW_H, 4.0, 400.0)
    paint_expected(painter, QRectF(image.rect()), scene, times, view, sizes, LIGHT)
    painter.end()
    drawn = [
        (x, y)
        for x in range(400)
        for y in range(image.height())
        if image.pixelColor(x, y) not in (LIGHT.paper, LIGHT.line)
    ]
    assert min(y for _, y in drawn) >= sizes.line_px
    assert min(x for x, _ in drawn) == pytest.approx(times.x(scene.expected[0].picked_h), abs=2)


def test_the_keyboard_reaches_it_and_hears_what_is_planned(canvas: QueueCanvas) -> None:
    assert canvas.scene is not None
    assert canvas.scene.rows == 3
    QTest.keyClick(canvas, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    assert canvas.selected_pick() == "pick"
    assert canvas.selected_batch() is None
    said = canvas.words_of_selected().splitlines()
    assert said[0] == "Expected Fri Sep 25: 40 pawpaws, to Cold room."
    assert said[1].startswith("2 crates for Village market")


def test_it_stays_selected_in_another_scene(
    canvas: QueueCanvas, make_planned: MakePlanned, words: Formats
) -> None:
    QTest.keyClick(canvas, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    canvas.set_scene(make_planned(4, WAY, expected=[PICK]), words)
    assert canvas.selected_pick() == "pick"


def test_enter_asks_for_it(qtbot: QtBot, canvas: QueueCanvas) -> None:
    QTest.keyClick(canvas, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    with qtbot.waitSignal(canvas.expectedOpened) as asked, qtbot.assertNotEmitted(canvas.opened):
        QTest.keyClick(canvas, Qt.Key.Key_Return)
    assert asked.args == ["pick"]


def test_a_click_on_its_name_asks_for_it_and_one_beside_it_only_selects(
    qtbot: QtBot, canvas: QueueCanvas
) -> None:
    area = canvas.layout_now().lines
    y = round(area.y() + canvas.line_view().y(2) + canvas.sizes.line_px / 3)
    with qtbot.assertNotEmitted(canvas.expectedOpened):
        QTest.mouseClick(
            canvas.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(round(area.x()) + 5, y)
        )
    assert canvas.selected_pick() == "pick"
    with qtbot.waitSignal(canvas.expectedOpened) as asked:
        QTest.mouseClick(canvas.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(20, y))
    assert asked.args == ["pick"]

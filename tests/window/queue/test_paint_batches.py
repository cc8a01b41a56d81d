"""What painting costs, and what ends up on the picture."""

from collections.abc import Callable, Collection
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRectF, Qt
from PySide6.QtGui import QFont, QImage, QPainter, QPicture
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.market import ExpectedPick
from ripenroom.season.projection import Projection
from ripenroom.window.palette import LIGHT
from ripenroom.window.queue.canvas import QueueCanvas
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_batches import paint_expected, paint_lines
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, TimeView
from ripenroom.wording.formats import Formats
from tests.window.queue.conftest import NOW_H, line

MakeScene = Callable[..., Scene]
RECT = QRectF(0.0, 0.0, 800.0, 300.0)


def painted(scene: Scene, top_px: float = 0.0, detailed: Collection[int] = ()) -> QImage:
    shown = QImage(800, 300, QImage.Format.Format_RGB32)
    shown.fill(LIGHT.paper)
    painter = QPainter(shown)
    view = TimeView(scene.now_h - 48.0, 4.0, 800.0)
    lines = LineView(top_px, 30.0, 300.0)
    paint_lines(painter, RECT, scene, view, lines, Sizes.of(QFont()), LIGHT, detailed)
    painter.end()
    return shown


def commands(scene: Scene) -> int:
    record = QPicture()
    painter = QPainter(record)
    view = TimeView(scene.now_h - 48.0, 4.0, 800.0)
    paint_lines(painter, RECT, scene, view, LineView(0.0, 30.0, 300.0), Sizes.of(QFont()), LIGHT)
    painter.end()
    return record.size()


def test_two_thousand_lines_cost_as_many_strokes_as_the_ten_in_sight(
    qtbot: QtBot, make_scene: MakeScene
) -> None:
    few = commands(make_scene([(1.0, 4.0)] * 10))
    many = commands(make_scene([(1.0, 4.0)] * 2000))
    assert many < 1.05 * few


def test_states_differ_without_colour(qtbot: QtBot, make_scene: MakeScene) -> None:
    shown = painted(make_scene([(1.0, 4.0)], spread_days=0.2))

    def grey(days: float, y: int) -> int:
        return shown.pixelColor(int((48.0 + days * 24.0) * 4.0), y).lightness()

    shelf = 27
    holding, ready = grey(0.3, shelf - 3), grey(2.0, shelf - 3)
    assert LIGHT.paper.lightness() - holding > 25
    assert holding - ready > 80
    hatched = {grey(4.5 + n * 0.02, shelf - 3) for n in range(12)}
    assert max(hatched) - min(hatched) > 60


def test_best_day_is_a_notch(qtbot: QtBot, make_scene: MakeScene) -> None:
    shown = painted(make_scene([(1.0, 3.0)], spread_days=0.1))
    top = 27 - round(23 * 0.8)
    best_x = int((48.0 + 48.0) * 4.0)
    assert shown.pixelColor(best_x, top + 1).lightness() > 230
    assert shown.pixelColor(best_x + 12, top + 1).lightness() < 120


def test_a_trial_shows_where_the_window_was(
    qtbot: QtBot, make_scene: MakeScene, make_projection: Callable[..., Projection]
) -> None:
    scene = make_scene([(1.0, 2.0)], spread_days=0.1)
    tried = make_projection([(4.0, 5.0)], spread_days=0.1)
    plain = painted(replace(scene, projection=tried))
    trial = painted(scene.trying(tried))
    left = int((48.0 + 24.0) * 4.0)
    edge = [(x, y) for x in range(left - 1, left + 3) for y in range(4, 27)]
    changed = [spot for spot in edge if trial.pixelColor(*spot) != plain.pixelColor(*spot)]
    assert len(changed) >= 5
    far_x = int((48.0 + 96.0) * 4.0) + 50
    assert all(trial.pixelColor(far_x, y) == plain.pixelColor(far_x, y) for y in range(30))


def test_fruit_that_never_opens_is_only_outlined(qtbot: QtBot, make_scene: MakeScene) -> None:
    shown = painted(make_scene([(float("nan"), float("nan"))]))
    inside = shown.pixelColor(100, 24)
    assert inside == LIGHT.paper
    row = [shown.pixelColor(x, 26) != LIGHT.paper for x in range(20, 180)]
    assert any(row)
    assert not all(row)


def test_a_gate_is_two_posts_in_the_fruit_that_is_holding(
    qtbot: QtBot, make_scene: MakeScene
) -> None:
    scene = make_scene([(5.0, 6.0)])
    opens_h = np.full(1, scene.now_h + 24.0)
    gated = replace(scene, projection=replace(scene.projection, gate_opens_h=opens_h))
    assert painted(gated) == painted(scene)  # only of lines that are shown in detail
    plain, shown = painted(scene), painted(gated, detailed={0})
    x, above = (48 + 24) * 4, 15
    differs = [n for n in range(800) if plain.pixelColor(n, above) != shown.pixelColor(n, above)]
    assert differs == [x - 2, x + 2]


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

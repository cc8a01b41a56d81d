"""The queue under mouse, wheel and keyboard."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QAccessible, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.canvas import QueueCanvas
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import span_of
from ripenroom.window.queue.under_pointer import day_at, line_at
from ripenroom.wording.formats import Formats

MakeScene = Callable[..., Scene]
MakeCanvas = Callable[[Scene], QueueCanvas]
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def make_canvas(qtbot: QtBot, words: Formats) -> MakeCanvas:
    def make(scene: Scene) -> QueueCanvas:
        canvas = QueueCanvas()
        qtbot.addWidget(canvas)
        canvas.resize(1100, 500)
        canvas.show()
        canvas.set_scene(scene, words)
        canvas.setFocus()
        canvas.repaint()
        return canvas

    return make


def spot(canvas: QueueCanvas, row: int, days: float) -> QPoint:
    """The point of a line that many days after now."""
    assert canvas.scene is not None
    area = canvas.layout_now().lines
    x = area.x() + canvas.view.x(canvas.scene.now_h + 24.0 * days)
    y = area.y() + canvas.line_view().y(row) + canvas.sizes.line_px / 2.0
    return QPoint(round(x), round(y))


def wheel(canvas: QueueCanvas, notches: int, held: Qt.KeyboardModifier, at: QPoint) -> None:
    event = QWheelEvent(
        QPointF(at),
        QPointF(canvas.viewport().mapToGlobal(at)),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        held,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(canvas.viewport(), event)


def test_up_and_down_tell_the_line_in_words(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0), (1.0, 9.0)]))
    assert canvas.selected_batch() == "batch-0"
    with qtbot.waitSignal(canvas.pointed) as told:
        QTest.keyClick(canvas, Qt.Key.Key_Down)
    assert told.args is not None
    assert told.args[0].startswith(
        "21 European pears, P-0921-2, Cellar shelf: ready from Fri Sep 25"
    )
    assert "on the best day 80% are ready at once (70–90%)" in told.args[0]
    assert canvas.selected_batch() == "batch-1"
    QTest.keyClick(canvas, Qt.Key.Key_Down)  # below the last line there is nothing
    assert canvas.selected_batch() == "batch-1"
    QTest.keyClick(canvas, Qt.Key.Key_Up)
    assert canvas.selected_batch() == "batch-0"


def test_a_listener_hears_the_selected_line(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0), (1.0, 9.0)]))
    QTest.keyClick(canvas, Qt.Key.Key_Down)
    interface = QAccessible.queryAccessibleInterface(canvas)
    assert interface.text(QAccessible.Text.Name) == "Shelf queue"
    assert interface.text(QAccessible.Text.Description).startswith("21 European pears, P-0921-2")


def test_left_and_right_ask_about_a_day(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0)]))
    assert canvas.marked_day == date(2026, 9, 24)
    for _ in range(3):
        QTest.keyClick(canvas, Qt.Key.Key_Right)
    assert canvas.marked_day == date(2026, 9, 27)
    assert canvas.words_of_selected().endswith("Sun Sep 27: ready.")


def test_a_market_day_is_read_out_with_its_day(
    make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0)], {2: "Village market"}))
    for _ in range(2):
        QTest.keyClick(canvas, Qt.Key.Key_Right)
    assert canvas.words_of_selected().endswith("Village market, Sat Sep 26: ready.")


def test_the_view_follows_the_marked_day(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 60.0)]))
    right = canvas.view.right_h
    for _ in range(20):
        QTest.keyClick(canvas, Qt.Key.Key_Right)
    assert canvas.view.right_h > right
    QTest.keyClick(canvas, Qt.Key.Key_Home)
    assert canvas.marked_day == date(2026, 9, 24)
    assert canvas.view.right_h == pytest.approx(right)


def said_last(canvas: QueueCanvas) -> list[str]:
    """What the words beneath the queue are at any time: the last one told."""
    told: list[str] = []
    canvas.pointed.connect(told.append)
    return told


def test_words_speak_of_the_day_that_comes_under_the_mouse(
    make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 60.0)]))
    told, at = said_last(canvas), spot(canvas, 0, 2.0)
    QTest.mouseMove(canvas.viewport(), at)
    assert told[-1].endswith("Sat Sep 26: ready.")
    bar = canvas.horizontalScrollBar()
    moves: list[Callable[[], None]] = [
        lambda: wheel(canvas, -3, Qt.KeyboardModifier.ShiftModifier, at),
        lambda: canvas.zoom(1.25),
        lambda: bar.setValue(bar.value() + round(72 * canvas.view.px_per_h)),
        canvas.show_all,
    ]
    for move in moves:
        move()
        day = day_at(canvas, at.x())
        assert day is not None
        assert canvas.words is not None
        assert canvas.words.day(day) in told[-1]


def test_words_speak_of_the_batch_that_comes_under_the_mouse(
    make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0)] * 60))
    told, at = said_last(canvas), spot(canvas, 2, 2.0)
    QTest.mouseMove(canvas.viewport(), at)
    before = line_at(canvas, QPointF(at))
    wheel(canvas, -1, Qt.KeyboardModifier.NoModifier, at)
    line = line_at(canvas, QPointF(at))
    assert line not in (None, before)
    assert canvas.scene is not None
    assert f" {canvas.scene.facts.codes[line]}," in told[-1]


def test_the_clock_does_not_take_the_words_from_the_mouse(
    make_canvas: MakeCanvas, make_scene: MakeScene, words: Formats
) -> None:
    scene = make_scene([(1.0, 5.0), (1.0, 9.0)])
    canvas = make_canvas(scene)
    told = said_last(canvas)
    QTest.mouseMove(canvas.viewport(), spot(canvas, 1, 2.0))
    canvas.set_scene(scene, words)
    assert "P-0921-2" in told[-1]
    QTest.keyClick(canvas, Qt.Key.Key_Right)  # from here on the keyboard is what counts
    canvas.set_scene(scene, words)
    assert "P-0921-1" in told[-1]


def test_the_marked_day_comes_along_with_the_view(
    make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 90.0)]))
    told = said_last(canvas)
    for _ in range(3):
        QTest.keyClick(canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    left, marked = canvas.view.left_h, canvas.marked_day
    assert marked is not None
    first_h, last_h = span_of(marked, make_scene([(1.0, 90.0)]).zone)
    assert left <= first_h
    assert last_h <= canvas.view.right_h
    assert canvas.words is not None
    assert canvas.words.day(marked) in told[-1]
    QTest.keyClick(canvas, Qt.Key.Key_Right)  # so the next step does not jump back
    assert canvas.view.left_h == left


def test_a_day_that_nobody_marked_is_today(
    make_canvas: MakeCanvas, make_scene: MakeScene, words: Formats
) -> None:
    scene = make_scene([(1.0, 5.0)])
    canvas = make_canvas(scene)
    told = said_last(canvas)
    tomorrow = replace(scene, projection=replace(scene.projection, at_h=scene.now_h + 24.0))
    canvas.set_scene(tomorrow, words)
    assert canvas.marked_day == date(2026, 9, 25)
    assert "Fri Sep 25: " in told[-1]
    QTest.keyClick(canvas, Qt.Key.Key_Right)
    canvas.set_scene(scene, words)
    assert canvas.marked_day == date(2026, 9, 26)


def test_selection_is_brought_into_sight(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0)] * 200))
    QTest.keyClick(canvas, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    assert canvas.selected_row() == 199
    assert 199 in canvas.line_view().visible(200)
    QTest.keyClick(canvas, Qt.Key.Key_PageUp)
    assert canvas.selected_row() == 199 - (
        int(canvas.line_view().height_px // canvas.sizes.line_px) - 1
    )


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Enter])
def test_enter_opens_the_batch(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene, key: Qt.Key
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0)]))
    with qtbot.waitSignal(canvas.opened) as opened:
        QTest.keyClick(canvas, key)
    assert opened.args == ["batch-0"]


def test_a_click_on_fruit_opens_it(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0), (1.0, 9.0)]))
    with qtbot.waitSignal(canvas.opened) as opened:
        QTest.mouseClick(canvas.viewport(), LEFT, pos=spot(canvas, 1, 3.0))
    assert opened.args == ["batch-1"]


def test_a_click_on_a_name_opens_it(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0), (1.0, 9.0)]))
    with qtbot.waitSignal(canvas.opened) as opened:
        QTest.mouseClick(canvas.viewport(), LEFT, pos=QPoint(20, spot(canvas, 1, 0.0).y()))
    assert opened.args == ["batch-1"]


def test_a_click_on_empty_space_only_selects(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 2.0), (1.0, 3.0)]))
    with qtbot.assertNotEmitted(canvas.opened):
        QTest.mouseClick(canvas.viewport(), LEFT, pos=spot(canvas, 1, 10.0))
    assert canvas.selected_batch() == "batch-1"
    assert canvas.marked_day == date(2026, 10, 4)


def test_double_click_on_empty_space_asks_for_a_market_day(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 2.0)]))
    with qtbot.waitSignal(canvas.dayAsked) as asked:
        QTest.mouseDClick(canvas.viewport(), LEFT, pos=spot(canvas, 4, 6.0))
    assert asked.args == [date(2026, 9, 30)]


def test_double_click_on_fruit_asks_for_none(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0)]))
    with qtbot.assertNotEmitted(canvas.dayAsked):
        QTest.mouseDClick(canvas.viewport(), LEFT, pos=spot(canvas, 0, 3.0))


@pytest.mark.parametrize(
    ("key", "held"),
    [
        (Qt.Key.Key_Insert, Qt.KeyboardModifier.NoModifier),
        (Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier),
    ],
)
def test_the_keyboard_adds_a_market_day_on_its_day(
    qtbot: QtBot,
    make_canvas: MakeCanvas,
    make_scene: MakeScene,
    key: Qt.Key,
    held: Qt.KeyboardModifier,
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0)]))
    QTest.keyClick(canvas, Qt.Key.Key_Right)
    with qtbot.waitSignal(canvas.dayAsked) as asked:
        QTest.keyClick(canvas, key, held)
    assert asked.args == [date(2026, 9, 25)]


def test_a_label_opens_its_market_day_and_tells_it_on_hover(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0)], {2: "Village market"}))
    placed, layout = canvas.placed_bands()[0], canvas.layout_now()
    foot = layout.header.bottom() - layout.axis_px
    point = QPoint(round(layout.header.x() + placed.x + 20), round(foot - placed.above - 8))
    with qtbot.waitSignal(canvas.pointed) as told:
        QTest.mouseMove(canvas.viewport(), point)
    assert told.args is not None
    assert told.args[0].startswith("Village market, Sat Sep 26")
    with qtbot.waitSignal(canvas.bandOpened) as opened:
        QTest.mouseClick(canvas.viewport(), LEFT, pos=point)
    assert opened.args == ["day-2"]


def test_ctrl_wheel_zooms_about_the_mouse(make_canvas: MakeCanvas, make_scene: MakeScene) -> None:
    canvas = make_canvas(make_scene([(1.0, 40.0)]))
    at = spot(canvas, 0, 5.0)
    x = at.x() - canvas.layout_now().lines.x()
    hour, scale = canvas.view.hour(x), canvas.view.px_per_h
    wheel(canvas, 2, Qt.KeyboardModifier.ControlModifier, at)
    assert canvas.view.px_per_h == pytest.approx(scale * 1.25**2)
    assert canvas.view.hour(x) == pytest.approx(hour)


def test_shift_wheel_goes_through_the_days(make_canvas: MakeCanvas, make_scene: MakeScene) -> None:
    canvas = make_canvas(make_scene([(1.0, 40.0)]))
    left = canvas.view.left_h
    wheel(canvas, -2, Qt.KeyboardModifier.ShiftModifier, spot(canvas, 0, 5.0))
    assert canvas.view.left_h > left


def test_wheel_scrolls_lines(make_canvas: MakeCanvas, make_scene: MakeScene) -> None:
    canvas = make_canvas(make_scene([(1.0, 40.0)] * 100))
    wheel(canvas, -2, Qt.KeyboardModifier.NoModifier, spot(canvas, 0, 5.0))
    assert canvas.verticalScrollBar().value() > 0


def test_plus_minus_and_nought(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 40.0)]))
    scale = canvas.view.px_per_h
    QTest.keyClick(canvas, Qt.Key.Key_Plus)
    assert canvas.view.px_per_h > scale
    QTest.keyClick(canvas, Qt.Key.Key_Minus)
    assert canvas.view.px_per_h == pytest.approx(scale)
    QTest.keyClick(canvas, Qt.Key.Key_0)
    assert canvas.scene is not None
    assert canvas.view.right_h >= canvas.scene.projection.closes_h.high.max()


def test_dragging_moves_the_picture_and_opens_nothing(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    canvas = make_canvas(make_scene([(1.0, 40.0)] * 100))
    start = spot(canvas, 3, 5.0)
    hour = canvas.view.hour(start.x() - canvas.layout_now().lines.x())
    with qtbot.assertNotEmitted(canvas.opened):
        QTest.mousePress(canvas.viewport(), LEFT, pos=start)
        QTest.mouseMove(canvas.viewport(), start - QPoint(60, 50))
        QTest.mouseMove(canvas.viewport(), start - QPoint(120, 90))
        QTest.mouseRelease(canvas.viewport(), LEFT, pos=start - QPoint(120, 90))
    dragged_x = start.x() - 120 - canvas.layout_now().lines.x()
    assert canvas.view.hour(dragged_x) == pytest.approx(hour)
    assert canvas.verticalScrollBar().value() == 90


def test_selection_follows_its_batch_into_a_new_scene(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene, words: Formats
) -> None:
    canvas = make_canvas(make_scene([(1.0, 5.0), (1.0, 9.0)]))
    QTest.keyClick(canvas, Qt.Key.Key_Down)
    canvas.set_scene(make_scene([(1.0, 12.0), (1.0, 3.0)]), words)
    assert canvas.selected_batch() == "batch-1"
    assert canvas.selected_row() == 0


def test_the_menu_key_asks_for_the_selected_batch(
    qtbot: QtBot, make_canvas: MakeCanvas, make_scene: MakeScene
) -> None:
    from PySide6.QtGui import QContextMenuEvent

    canvas = make_canvas(make_scene([(1.0, 5.0)]))
    event = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(1, 1), QPoint(1, 1))
    with qtbot.waitSignal(canvas.menuAsked) as asked:
        QApplication.sendEvent(canvas.viewport(), event)
    assert asked.args is not None
    assert asked.args[:2] == ["batch-0", date(2026, 9, 24)]

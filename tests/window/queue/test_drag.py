"""The plan under mouse and keyboard, over the practice season."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, QSettings, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.season.plans.decisions import waits_in
from ripenroom.season.plans.plan import PlannedMove
from ripenroom.season.season import Season
from ripenroom.season.state import Changed
from ripenroom.window.queue.lanes import Track, lane_of
from ripenroom.window.queue.page import QueuePage
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary
from ripenroom.window.session import Session
from tests.window.planned import planned

pytestmark = pytest.mark.usefixtures("some_batches")

LEFT = Qt.MouseButton.LeftButton
SHIFT, ALT = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def page(qtbot: QtBot, session: Session, monkeypatch: pytest.MonkeyPatch) -> Iterator[QueuePage]:
    # However busy the machine is, costs are told at once.
    monkeypatch.setattr("ripenroom.window.queue.drag._QUICK_S", 60.0)
    planned(qtbot, session)
    made = QueuePage(session)
    qtbot.addWidget(made)
    made.resize(1400, 1400)
    made.show()
    made.canvas.setFocus()
    yield made
    session.plans.close()


def movable(page: QueuePage) -> QueueItinerary:
    """Crates whose pull can be dragged to a later evening; they are chosen."""
    scene = page.canvas.scene
    assert scene is not None
    assert scene.planned is not None
    for line in scene.order.tolist():
        for way in scene.ways_of(line):
            wait_h = way.ends_h - way.pull_h
            if (
                way.fate is ItineraryEnd.SOLD
                and not way.written
                and len(way.waits) == 2
                and wait_h > 50
            ):
                page.canvas.choose(line, way)
                return way
    raise AssertionError("the practice season's plan pulls nothing well before its market day")


def split_a_batch(qtbot: QtBot, page: QueuePage) -> None:
    """Of two crates that go to one market day, one is pinned to another."""
    scene = page.canvas.scene
    assert scene is not None
    ways = [way for n in scene.order.tolist() for way in scene.ways_of(n)]
    two = next(one.line for one in ways if one.line.crates == 2 and one.line.market_day_id)
    days = {one.line.market_day_id for one in ways} - {two.market_day_id, None}
    page.session.season.do(
        actions.pins.pin,
        Pin(id="split", batch_id=two.batch_id, crates=1, market_day_id=min(map(str, days))),
    )
    planned(qtbot, page.session)


def track_of(page: QueuePage, way: QueueItinerary) -> Track:
    canvas = page.canvas
    assert canvas.scene is not None
    line = canvas.scene.projection.line_of[way.line.batch_id]
    row = canvas.scene.row_of(line)
    assert row is not None
    args = canvas.view, canvas.line_view(), canvas.sizes
    lane = lane_of(canvas.scene, line, row, *args)
    return next(track for track in lane.tracks if track.way is way)


def spot(page: QueuePage, x: float, y: float) -> QPoint:
    corner = page.canvas.layout_now().lines.topLeft()
    return QPoint(round(corner.x() + x), round(corner.y() + y))


def pins(page: QueuePage) -> list[object]:
    return list(page.session.season.book.pins.values())


def drag(page: QueuePage, start: QPoint, end: QPoint) -> None:
    view = page.canvas.viewport()
    QTest.mousePress(view, LEFT, pos=start)
    QTest.mouseMove(view, start + QPoint(6, 0))
    QTest.mouseMove(view, (start + end) / 2)
    QTest.mouseMove(view, end)


def test_a_dragged_pull_tells_its_cost_and_is_pinned_where_it_is_let_go(page: QueuePage) -> None:
    way = movable(page)
    track = track_of(page, way)
    start = spot(page, track.pull_x, track.y)
    end = start + QPoint(round(24.0 * page.canvas.view.px_per_h), 3)
    before, picture = pins(page), page.canvas.grab().toImage()
    drag(page, start, end)
    trial = page.canvas.hand.trial
    assert trial is not None
    assert trial.cost.startswith("costs")
    assert trial.cost in page.said.text()
    assert page.canvas.grab().toImage() != picture
    assert pins(page) == before  # only tried so far
    QTest.mouseRelease(page.canvas.viewport(), LEFT, pos=end)
    assert page.canvas.hand.trial is None
    [pin] = [p for p in page.session.season.book.pins.values() if p not in before]
    assert pin.pull_at is not None
    assert way.line.pull_at is not None
    assert (pin.pull_at - way.line.pull_at).days == 1
    assert (pin.batch_id, pin.market_day_id) == (way.line.batch_id, way.line.market_day_id)
    page.session.season.undo()
    assert pins(page) == before


def test_escape_leaves_everything_as_it_was(page: QueuePage) -> None:
    way = movable(page)
    track = track_of(page, way)
    start, before = spot(page, track.pull_x, track.y), pins(page)
    picture = page.canvas.grab().toImage()
    drag(page, start, start + QPoint(round(24.0 * page.canvas.view.px_per_h), 0))
    assert page.canvas.hand.trial is not None
    QTest.keyClick(page.canvas, Qt.Key.Key_Escape)
    assert page.canvas.hand.trial is None
    QTest.mouseRelease(page.canvas.viewport(), LEFT, pos=start)
    assert pins(page) == before
    assert page.canvas.grab().toImage() == picture


def test_a_pull_that_is_let_go_where_it_was_pins_nothing(page: QueuePage) -> None:
    track = track_of(page, movable(page))
    start, before = spot(page, track.pull_x, track.y), pins(page)
    drag(page, start, start + QPoint(1, 12))
    QTest.mouseRelease(page.canvas.viewport(), LEFT, pos=start + QPoint(1, 12))
    assert pins(page) == before


def test_a_click_on_a_grip_chooses_and_opens_nothing(qtbot: QtBot, page: QueuePage) -> None:
    way = movable(page)
    track = track_of(page, way)
    page.canvas.show_all_moves(True)
    page.canvas.choose(page.canvas.scene.line_at(0), way)  # type: ignore[union-attr]
    with qtbot.assertNotEmitted(page.canvas.opened):
        QTest.mouseClick(page.canvas.viewport(), LEFT, pos=spot(page, track.pull_x, track.y))
    assert page.canvas.selected_batch() == way.line.batch_id
    assert page.canvas.chosen_way() is way


def test_a_market_tick_is_dragged_to_another_market_day(page: QueuePage) -> None:
    way = movable(page)
    track, scene = track_of(page, way), page.canvas.scene
    assert scene is not None
    other = next(b for b in scene.bands if b.starts_h > way.ends_h)
    start = spot(page, track.end_x + 3, track.y)
    end = spot(page, page.canvas.view.x(other.starts_h), track.y)
    before = pins(page)
    drag(page, start, end)
    QTest.mouseRelease(page.canvas.viewport(), LEFT, pos=end)
    [pin] = [p for p in page.session.season.book.pins.values() if p not in before]
    assert pin.market_day_id == other.market_day_id


def test_keys_shift_the_pull_say_the_cost_and_enter_pins(page: QueuePage) -> None:
    way = movable(page)
    before = pins(page)
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    said = page.canvas.words_of_selected()
    assert "costs" in said
    assert "Enter pins it" in said
    assert page.canvas.accessibleDescription() == said
    QTest.keyClick(page.canvas, Qt.Key.Key_Left, SHIFT)
    assert "as planned" in page.canvas.words_of_selected()
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    assert pins(page) == before
    QTest.keyClick(page.canvas, Qt.Key.Key_Return)
    [pin] = [p for p in page.session.season.book.pins.values() if p not in before]
    assert pin.batch_id == way.line.batch_id


def test_keys_go_through_market_days(page: QueuePage) -> None:
    way = movable(page)
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, ALT)
    trial = page.canvas.hand.trial
    assert trial is not None
    days = page.session.season.book.market_days
    assert trial.pin.market_day_id is not None
    assert way.line.market_day_id is not None
    assert days[trial.pin.market_day_id].starts_at > days[way.line.market_day_id].starts_at
    QTest.keyClick(page.canvas, Qt.Key.Key_Down)  # another line: nothing is tried any more
    assert page.canvas.hand.trial is None


def test_p_pins_and_takes_the_pin_off(qtbot: QtBot, page: QueuePage) -> None:
    way = movable(page)
    before = len(pins(page))
    with qtbot.waitSignal(page.session.said) as said:
        QTest.keyClick(page.canvas, Qt.Key.Key_P)
    assert said.args is not None
    assert "pinned; costs" in said.args[0]
    assert len(pins(page)) == before + 1
    planned(qtbot, page.session)
    assert page.canvas.selected_batch() == way.line.batch_id
    scene = page.canvas.scene
    assert scene is not None
    pinned = next(one for one in scene.ways_of(page.canvas.selected or 0) if one.pinned)
    page.canvas.choose(page.canvas.selected or 0, pinned)
    QTest.keyClick(page.canvas, Qt.Key.Key_P)
    assert len(pins(page)) == before


def test_p_does_not_pin_half_of_two_moves(page: QueuePage) -> None:
    way, line = movable(page), page.canvas.selected
    assert line is not None
    first = PlannedMove(way.line.steps[0].at - timedelta(hours=1), way.line.from_place_id)
    twice = replace(way, line=replace(way.line, steps=(first, *way.line.steps)))
    page.canvas.choose(line, twice)
    before = pins(page)
    QTest.keyClick(page.canvas, Qt.Key.Key_P)
    assert pins(page) == before
    assert "move twice" in page.said.text()


def test_w_goes_through_the_crates_of_a_split_batch(qtbot: QtBot, page: QueuePage) -> None:
    split_a_batch(qtbot, page)
    scene = page.canvas.scene
    assert scene is not None
    line = next(n for n in scene.order.tolist() if len(scene.ways_of(n)) > 1)
    first, second, *_ = scene.ways_of(line)
    page.canvas.choose(line, first)
    QTest.keyClick(page.canvas, Qt.Key.Key_W)
    assert page.canvas.chosen_way() is second
    for _ in scene.ways_of(line)[1:]:
        QTest.keyClick(page.canvas, Qt.Key.Key_W)
    assert page.canvas.chosen_way() is first


def test_another_place_is_tried_from_the_menu(page: QueuePage) -> None:
    way = movable(page)
    other = next(
        p.id
        for p in page.session.season.book.places.values()
        if p.id not in (way.line.from_place_id, way.line.to_place_id) and p.kind != "field bin"
    )
    page.canvas.hand.try_pin(lambda pin, options: waits_in(pin, other, options))
    trial = page.canvas.hand.trial
    assert trial is not None
    assert trial.pin.place_id == other
    assert page.session.season.book.places[other].name in page.canvas.words_of_selected()


def test_a_line_without_a_plan_says_that_there_is_nothing_to_decide(
    qtbot: QtBot, page: QueuePage
) -> None:
    page.canvas.chosen = None
    with qtbot.waitSignal(page.canvas.pointed) as told:
        QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    assert told.args is not None
    assert told.args[0].startswith("Nothing planned for this batch")


def test_a_season_that_cannot_be_changed_has_no_grips(
    qtbot: QtBot, session: Session, season_path: Path, settings: QSettings
) -> None:
    closed = Session(Season.open(season_path, read_only=True), settings)
    planned(qtbot, closed)
    page = QueuePage(closed)
    qtbot.addWidget(page)
    page.resize(1400, 1400)
    page.show()
    way = movable(page)
    track = track_of(page, way)
    assert page.canvas.hand.grip_under(QPointF(spot(page, track.pull_x, track.y))) is None
    for key, held in ((Qt.Key.Key_Right, SHIFT), (Qt.Key.Key_P, Qt.KeyboardModifier.NoModifier)):
        with qtbot.waitSignal(page.canvas.pointed) as told:
            QTest.keyClick(page.canvas, key, held)
        assert told.args == [closed.season.read_only_because]
    assert page.canvas.hand.trial is None
    assert not closed.season.book.pins
    closed.close()


def test_what_is_tried_outlives_the_clock_and_a_new_plan_but_not_a_change(
    qtbot: QtBot, page: QueuePage
) -> None:
    way = movable(page)
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    scene = page.canvas.scene
    page.session.changed.emit(Changed(clock=True))
    planned(qtbot, page.session)
    assert page.canvas.hand.trial is not None
    assert page.canvas.scene is scene
    QTest.keyClick(page.canvas, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: page.canvas.scene is not scene)  # then it catches up
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    assert page.canvas.hand.trial is not None
    season = page.session.season
    season.do(actions.batches.delete, [way.line.batch_id])
    assert page.canvas.hand.trial is None


def test_the_mouse_is_told_what_a_grip_is_for(qtbot: QtBot, page: QueuePage) -> None:
    track = track_of(page, movable(page))
    with qtbot.waitSignal(page.canvas.pointed) as told:
        QTest.mouseMove(page.canvas.viewport(), spot(page, track.pull_x, track.y))
    assert told.args is not None
    assert "Drag it to another evening" in told.args[0]
    assert page.canvas.viewport().cursor().shape() is Qt.CursorShape.SizeHorCursor
    with qtbot.waitSignal(page.canvas.pointed) as told:
        QTest.mouseMove(page.canvas.viewport(), spot(page, track.end_x + 3, track.y))
    assert "Drag it to another market day" in told.args[0]
    with qtbot.waitSignal(page.canvas.pointed) as told:
        above = track.y - page.canvas.sizes.lane_px - 6
        QTest.mouseMove(page.canvas.viewport(), spot(page, track.pull_x, above))
    assert "Drag it" not in told.args[0]


def test_what_is_pinned_is_dragged_on_and_stays_one_pin(qtbot: QtBot, page: QueuePage) -> None:
    movable(page)
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    QTest.keyClick(page.canvas, Qt.Key.Key_Return)
    [first] = page.session.season.book.pins.values()
    planned(qtbot, page.session)
    scene, line = page.canvas.scene, page.canvas.selected
    assert scene is not None
    assert line is not None
    way = next(one for one in scene.ways_of(line) if one.pinned)
    track = track_of(page, way)
    start = spot(page, track.pull_x, track.y)
    end = start - QPoint(round(24.0 * page.canvas.view.px_per_h), 0)
    QTest.mousePress(page.canvas.viewport(), LEFT, pos=start)
    for x in (start.x() - 8, (start.x() + end.x()) // 2, end.x()):
        QTest.mouseMove(page.canvas.viewport(), QPoint(x, start.y()))
    QTest.mouseRelease(page.canvas.viewport(), LEFT, pos=end)
    [second] = page.session.season.book.pins.values()
    assert second.id == first.id
    assert first.pull_at is not None
    assert second.pull_at is not None
    assert second.pull_at < first.pull_at


def test_a_cost_that_takes_long_is_told_once_the_hand_rests(
    qtbot: QtBot, page: QueuePage, monkeypatch: pytest.MonkeyPatch
) -> None:
    movable(page)
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    QTest.keyClick(page.canvas, Qt.Key.Key_Escape)
    monkeypatch.setattr("ripenroom.window.queue.drag._QUICK_S", 0.0)
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    QTest.keyClick(page.canvas, Qt.Key.Key_Left, SHIFT)
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    assert "…" in page.canvas.words_of_selected()

    def cost() -> str:
        assert page.canvas.hand.trial is not None
        return page.canvas.hand.trial.cost

    qtbot.waitUntil(lambda: cost().startswith("costs"))
    QTest.keyClick(page.canvas, Qt.Key.Key_Left, SHIFT)
    QTest.keyClick(page.canvas, Qt.Key.Key_Right, SHIFT)
    assert cost() == "…"
    with qtbot.waitSignal(page.session.said) as said:
        QTest.keyClick(page.canvas, Qt.Key.Key_Return)
    assert said.args is not None
    assert "costs" in said.args[0]

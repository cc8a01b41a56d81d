"""What of the plan can be taken hold of."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QPointF
from pytestqt.qtbot import QtBot

from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.window.queue.canvas import QueueCanvas
from ripenroom.window.queue.lanes import Lane, lane_of
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.under_pointer import DragHandleKind, grip_at
from ripenroom.wording.formats import Formats
from tests.window.queue.conftest import line, pulled_line

MakePlanned = Callable[..., Scene]
MakeCanvas = Callable[..., QueueCanvas]


@pytest.fixture
def make_canvas(qtbot: QtBot, make_planned: MakePlanned, words: Formats) -> MakeCanvas:
    def make(*lines: PlannedItinerary) -> QueueCanvas:
        canvas = QueueCanvas()
        qtbot.addWidget(canvas)
        canvas.resize(1100, 500)
        canvas.show()
        canvas.set_scene(make_planned(2, *lines), words)
        return canvas

    return make


def lane(canvas: QueueCanvas) -> Lane:
    assert canvas.scene is not None
    row = canvas.scene.row_of(0)
    assert row is not None
    return lane_of(canvas.scene, 0, row, canvas.view, canvas.line_view(), canvas.sizes)


def at(canvas: QueueCanvas, x: float, y: float) -> QPointF:
    return canvas.layout_now().lines.topLeft() + QPointF(x, y)


def test_a_pull_and_a_market_tick_are_grips(make_canvas: MakeCanvas) -> None:
    canvas = make_canvas(pulled_line("batch-0", 1))
    [track] = lane(canvas).tracks
    pull = grip_at(canvas, at(canvas, track.pull_x + 3, track.y))
    market = grip_at(canvas, at(canvas, track.end_x + 5, track.y))
    assert pull is not None
    assert market is not None
    assert (pull.kind, market.kind) == (DragHandleKind.PULL, DragHandleKind.MARKET)
    assert pull.way is market.way is track.way
    assert pull.line == 0


def test_beside_them_and_off_the_lane_there_is_nothing(make_canvas: MakeCanvas) -> None:
    canvas = make_canvas(pulled_line("batch-0", 1))
    [track] = lane(canvas).tracks
    assert grip_at(canvas, at(canvas, track.pull_x - 25, track.y)) is None
    assert grip_at(canvas, at(canvas, track.pull_x, track.y - 20)) is None
    assert grip_at(canvas, QPointF(20.0, at(canvas, 0, track.y).y())) is None


def test_where_tracks_cross_the_nearest_is_taken(make_canvas: MakeCanvas) -> None:
    canvas = make_canvas(
        pulled_line("batch-0", 1), pulled_line("batch-0", 1, market_day_id="day-9")
    )
    first, second = lane(canvas).tracks
    for track in (first, second):
        away = -2.0 if track is first else 2.0
        grip = grip_at(canvas, at(canvas, track.pull_x, track.y + away))
        assert grip is not None
        assert grip.way is track.way


@pytest.mark.parametrize(
    "fixed",
    [
        pulled_line("batch-0", 1, pin_id="pin", packed=True),
        replace(pulled_line("batch-0", 1, second_grade=True, market_day_id=None), steps=()),
        line("batch-0", market_day_id=None, to_place_id=None),
    ],
)
def test_what_is_packed_or_has_no_market_day_is_no_grip(
    make_canvas: MakeCanvas, fixed: PlannedItinerary
) -> None:
    canvas = make_canvas(fixed)
    [track] = lane(canvas).tracks
    width = int(canvas.view.width_px)
    assert not any(grip_at(canvas, at(canvas, x, track.y)) for x in range(0, width, 2))

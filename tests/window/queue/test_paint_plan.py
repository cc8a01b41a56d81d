"""The plan in pixels: everything that is told differs, in black and white too."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from typing import Any

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from ripenroom.season.plans.plan import PlannedItinerary, PlannedMove
from ripenroom.window.palette import INKS, LIGHT, Palette
from ripenroom.window.queue.lanes import grip_px
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.legend import plan_entries
from ripenroom.window.queue.paint_plan import paint_plan, paint_sample
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView, TimeView
from tests.window.queue.conftest import NOW, NOW_H, line, pulled_line

MakePlanned = Callable[..., Scene]
VIEW = TimeView(NOW_H - 24.0, 2.0, 500.0)

DIFFERENT = {
    "stays": line("batch-0"),
    "pulled": pulled_line("batch-0", 1),
    "pinned pull": pulled_line("batch-0", 1, pin_id="pin"),
    "pinned": line("batch-0", pin_id="pin"),
    "packed": line("batch-0", pin_id="pin", packed=True),
    "more crates": line("batch-0", crates=2),
    "left": line("batch-0", market_day_id=None),
    "kept back": line("batch-0", market_day_id=None, pin_id="pin"),
    "cleared": line("batch-0", market_day_id=None, to_place_id=None),
    "second grade": replace(
        pulled_line("batch-0", 1, second_grade=True, market_day_id=None), steps=()
    ),
    "another market": line("batch-0", market_day_id="day-9"),
}


@pytest.fixture
def sizes(qapp: QApplication) -> Sizes:
    return Sizes.of(qapp.font(), with_lane=True)


def painted(
    scene: Scene, sizes: Sizes, ink: Palette = LIGHT, chosen: bool = False, detailed: bool = True
) -> QImage:
    image = QImage(500, 100, QImage.Format.Format_RGB32)
    image.fill(ink.paper)
    painter = QPainter(image)
    way = scene.ways_of(0)[0] if chosen else None
    view = LineView(0.0, sizes.line_px, 100.0)
    lines = {0} if detailed else ()
    paint_plan(painter, QRectF(0, 0, 500, 100), scene, VIEW, view, sizes, ink, way, lines)
    painter.end()
    return image.convertToFormat(QImage.Format.Format_Grayscale8)


def test_every_way_is_drawn_otherwise_in_grey(make_planned: MakePlanned, sizes: Sizes) -> None:
    images = {name: painted(make_planned(1, planned), sizes) for name, planned in DIFFERENT.items()}
    blank = painted(replace(make_planned(1), planned=None), sizes)
    names = list(images)
    for n, name in enumerate(names):
        assert images[name] != blank, name
        for other in names[n + 1 :]:
            assert images[name] != images[other], (name, other)


def test_moves_are_drawn_of_lines_in_detail_alone(make_planned: MakePlanned, sizes: Sizes) -> None:
    stays, pulled = make_planned(1, line("batch-0")), make_planned(1, pulled_line("batch-0", 1))
    assert painted(stays, sizes) != painted(pulled, sizes)
    assert painted(stays, sizes, detailed=False) == painted(pulled, sizes, detailed=False)
    two = make_planned(1, line("batch-0", crates=2))
    assert painted(stays, sizes, detailed=False) != painted(two, sizes, detailed=False)


def test_a_move_leaves_a_tick_in_detail(make_planned: MakePlanned, sizes: Sizes) -> None:
    scene = make_planned(1)
    moves = {"batch-0": ((NOW_H + 24.0, "Ripen."),)}
    moved = replace(scene, facts=replace(scene.facts, moves=moves))
    x, y = round(VIEW.x(NOW_H + 24.0)), round(sizes.line_px - sizes.lane_px / 2)
    assert painted(scene, sizes).pixel(x, y) != painted(moved, sizes).pixel(x, y)
    assert painted(moved, sizes, detailed=False) == painted(scene, sizes, detailed=False)


class Recorder(QPainter):
    """Keeps from where to where letters are written."""

    written: list[tuple[float, float, str]]
    rings: list[float]

    def drawEllipse(self, *args: Any) -> None:  # noqa: N802
        self.rings.append(args[0].x())
        super().drawEllipse(*args)

    def drawText(self, *args: Any) -> None:  # type: ignore[override] # noqa: N802
        at, text = args
        width = self.fontMetrics().horizontalAdvance(text)
        self.written.append((at.x(), at.x() + width, text))
        super().drawText(at, text)


@pytest.mark.parametrize("hours_ago", [0.0, 1.0, 6.0])
def test_letters_of_a_move_a_moment_ago_and_of_the_plan_do_not_meet(
    make_planned: MakePlanned, sizes: Sizes, hours_ago: float
) -> None:
    scene = make_planned(1, line("batch-0"))
    moves = {"batch-0": ((NOW_H - hours_ago, "Ripen."),)}
    scene = replace(scene, facts=replace(scene.facts, moves=moves))
    image = QImage(500, 100, QImage.Format.Format_RGB32)
    painter = Recorder(image)
    painter.written, painter.rings = [], []
    view = LineView(0.0, sizes.line_px, 100.0)
    paint_plan(painter, QRectF(0, 0, 500, 100), scene, VIEW, view, sizes, LIGHT, None, {0})
    painter.end()
    assert "Ripen." in [text for *_, text in painter.written]
    spans = sorted(painter.written)
    assert all(one[1] <= other[0] for one, other in pairwise(spans)), spans


@pytest.mark.parametrize("hours", [2.0, 6.0, 11.0, 20.0, 40.0])
def test_no_letters_cover_the_ring_of_a_move(
    make_planned: MakePlanned, sizes: Sizes, hours: float
) -> None:
    """Also not of the first of two moves, soon after now, where the letters of now would stand."""
    back = pulled_line("batch-0", 5, market_day_id="day-9")
    first = PlannedMove(NOW + timedelta(hours=hours), "shelf")
    way = replace(back, steps=(first, PlannedMove(back.steps[0].at, "cold")))
    image = QImage(500, 100, QImage.Format.Format_RGB32)
    painter = Recorder(image)
    painter.written, painter.rings = [], []
    view = LineView(0.0, sizes.line_px, 100.0)
    scene = make_planned(1, way)
    paint_plan(painter, QRectF(0, 0, 500, 100), scene, VIEW, view, sizes, LIGHT, None, {0})
    painter.end()
    assert painter.rings == [VIEW.x(NOW_H + hours), VIEW.x(NOW_H + 5 * 24.0 + 9.0)]
    grip = grip_px(sizes)
    for x in painter.rings:
        over = [one for one in painter.written if one[0] < x + grip and x - grip < one[1]]
        assert not over
    where = [(x, text) for x, _, text in painter.written]
    assert all(x < painter.rings[0] or x > painter.rings[1] for x, text in where if text == "Cold")
    assert all(x > painter.rings[0] for x, text in where if text == "Cell.")
    assert "Cell." in [text for _, text in where]


def test_crates_that_stay_stand_beside_crates_that_are_moved(
    make_planned: MakePlanned, sizes: Sizes
) -> None:
    moved = pulled_line("batch-0", 1)
    both = make_planned(1, moved, line("batch-0", market_day_id="day-9"))
    assert painted(both, sizes) != painted(make_planned(1, moved), sizes)


def test_nothing_is_drawn_over_the_fruit(make_planned: MakePlanned, sizes: Sizes) -> None:
    image = painted(make_planned(1, pulled_line("batch-0", 1)), sizes)
    shelf = round(sizes.line_px - sizes.lane_px - 4)
    paper = image.pixel(0, 0)
    assert all(image.pixel(x, y) == paper for x in range(500) for y in range(shelf - 2))


@pytest.mark.parametrize("ink", INKS)
def test_the_chosen_crates_stand_out(make_planned: MakePlanned, sizes: Sizes, ink: Palette) -> None:
    scene = make_planned(1, pulled_line("batch-0", 1))
    assert painted(scene, sizes, ink) != painted(scene, sizes, ink, chosen=True)


def test_far_out_of_sight_nothing_goes_wrong(make_planned: MakePlanned, sizes: Sizes) -> None:
    far: list[PlannedItinerary] = [
        pulled_line("batch-0", 300, market_day_id="day-9"),
        line("batch-0"),
    ]
    assert not painted(make_planned(1, *far), sizes).isNull()


@pytest.mark.parametrize("mark", list(plan_entries()))
def test_a_legend_has_a_sample_of_every_mark(qapp: QApplication, sizes: Sizes, mark: str) -> None:
    image = QImage(30, 20, QImage.Format.Format_RGB32)
    image.fill(LIGHT.paper)
    blank = image.copy()
    painter = QPainter(image)
    paint_sample(painter, QRectF(2, 2, 26, 16), mark, sizes, LIGHT)
    painter.end()
    assert image != blank


@pytest.mark.parametrize("ink", INKS)
def test_the_track_of_chosen_crates_is_seen_on_its_ground(
    make_planned: MakePlanned, sizes: Sizes, ink: Palette
) -> None:
    """Ink, ground, its soft edge and paper, also where high contrast has two inks for texts."""
    image = painted(make_planned(1, line("batch-0")), sizes, ink, chosen=True)
    greys = [len({image.pixel(x, y) for y in range(100)}) for x in range(500)]
    # More columns than letters with their soft edges take.
    assert sum(n >= 4 for n in greys) > 40

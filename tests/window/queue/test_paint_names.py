"""Who has room in the frozen column."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont, QImage, QPainter
from pytestqt.qtbot import QtBot

from ripenroom.window.palette import LIGHT
from ripenroom.window.queue.layout import Layout, Sizes
from ripenroom.window.queue.paint_names import (
    columns,
    crop_text,
    natural_width,
    paint_headings,
    paint_names,
)
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import LineView
from ripenroom.wording.formats import Formats

MakeScene = Callable[..., Scene]


class Recorder(QPainter):
    """Keeps of every text the room that it was given, and the room that it asks for."""

    written: dict[str, tuple[float, float]]

    def drawText(self, *args: Any) -> None:  # type: ignore[override] # noqa: N802
        spot, flags, text = args
        self.written[text] = (spot.width(), self.fontMetrics().horizontalAdvance(text))
        super().drawText(spot, flags, text)


def test_days_of_a_tried_temperature_are_not_cut(
    qtbot: QtBot, make_scene: MakeScene, words: Formats
) -> None:
    now, tried = make_scene([(1.0, 30.0)]), make_scene([(1.0, 32.0)])
    scene, sizes = replace(tried, ghost=now.projection), Sizes.of(QFont())
    wide = columns(scene.facts, 600.0, sizes)
    for width in (600.0, wide.code[1] + wide.left[1] + wide.crop[1]):
        image = QImage(int(width), 60, QImage.Format.Format_RGB32)
        painter = Recorder(image)
        painter.written = {}
        layout = cast(Layout, SimpleNamespace(names=QRectF(0.0, 0.0, width, 60.0)))
        lines = LineView(0.0, sizes.line_px, 60.0)
        paint_names(painter, layout, scene, lines, words, sizes, LIGHT)
        painter.end()
        (shift,) = (text for text in painter.written if "→" in text)
        room, asked = painter.written[shift]
        assert asked <= room, (width, shift)


def test_a_tried_temperature_leaves_crop_and_count_beside_its_dates(
    qtbot: QtBot, make_scene: MakeScene, words: Formats
) -> None:
    now, tried = make_scene([(1.0, 30.0), (1.0, 5.0)]), make_scene([(1.0, 80.0), (1.0, 5.0)])
    scene, sizes = replace(tried, ghost=now.projection), Sizes.of(QFont())
    wide = columns(scene.facts, 600.0, sizes)
    for width in (600.0, wide.code[1] + wide.left[1] + wide.crop[1] + 40.0):
        image = QImage(int(width), 100, QImage.Format.Format_RGB32)
        painter = Recorder(image)
        painter.written = {}
        layout = cast(
            Layout,
            SimpleNamespace(
                names=QRectF(0.0, 40.0, width, 60.0), corner=QRectF(0.0, 0.0, width, 40.0)
            ),
        )
        paint_headings(painter, layout, scene, words, sizes, LIGHT)
        assert {"Past", "Left"} <= set(painter.written)
        painter.written = {}
        paint_names(painter, layout, scene, LineView(0.0, sizes.line_px, 60.0), words, sizes, LIGHT)
        painter.end()
        assert crop_text(scene.facts, 0) in painter.written
        assert words.number(float(scene.projection.left[0])) in painter.written
        (shift,) = (text for text in painter.written if "→" in text)
        room, asked = painter.written[shift]
        assert asked <= room


def test_with_room_nothing_is_cut(qtbot: QtBot, make_scene: MakeScene) -> None:
    facts, sizes = make_scene([(1.0, 2.0), (1.0, 2.0)]).facts, Sizes.of(QFont())
    where = columns(facts, natural_width(facts, sizes), sizes)
    assert where.code[0] + where.code[1] == where.crop[0]
    assert where.crop[0] + where.crop[1] == where.place[0]
    assert where.place[0] + where.place[1] <= where.left[0] + 0.5


def test_with_little_room_place_goes_first_code_and_count_stay(
    qtbot: QtBot, make_scene: MakeScene
) -> None:
    facts, sizes = make_scene([(1.0, 2.0)]).facts, Sizes.of(QFont())
    wide = columns(facts, 600.0, sizes)
    narrow = columns(facts, 210.0, sizes)
    assert narrow.code[1] == wide.code[1]
    assert narrow.left[1] == wide.left[1]
    assert narrow.place[1] == 0.0
    assert narrow.crop[1] >= 0.0


def test_a_crop_is_not_cut_short_for_its_place(qtbot: QtBot, make_scene: MakeScene) -> None:
    facts, sizes = make_scene([(1.0, 2.0)]).facts, Sizes.of(QFont())
    facts = replace(facts, places=("Kitchen counter",) * len(facts.places))
    whole = columns(facts, 600.0, sizes)
    short = natural_width(facts, sizes, room=natural_width(facts, sizes) - 10.0)
    with_mark, without = (columns(facts, width, sizes) for width in (short, short - 10.0))
    assert with_mark.crop[1] == without.crop[1] == whole.crop[1]
    assert 0.0 < with_mark.place[1] < whole.place[1]
    assert without.place[1] == 0.0


def test_with_no_room_the_count_goes_before_it_is_written_over_the_code(
    qtbot: QtBot, make_scene: MakeScene
) -> None:
    facts, sizes = make_scene([(1.0, 2.0)]).facts, Sizes.of(QFont())
    code_px = columns(facts, 600.0, sizes).code[1]
    where = columns(facts, code_px + 20.0, sizes)
    assert where.code[1] == code_px
    assert where.left[1] == 0.0


def test_crop_without_cultivar_stands_alone(make_scene: MakeScene) -> None:
    assert crop_text(make_scene([(1.0, 2.0)]).facts, 0) == "Pawpaw"


def test_a_cultivar_that_names_its_crop_stands_alone(make_scene: MakeScene) -> None:
    facts = make_scene([(1.0, 2.0), (1.0, 2.0)]).facts
    named = replace(facts, cultivars=("Middle pawpaws", "Butter"))
    assert crop_text(named, 0) == "Middle pawpaws"
    assert crop_text(named, 1) == "European pear, Butter"


def test_a_crop_is_readable_or_left_out(qtbot: QtBot, make_scene: MakeScene) -> None:
    facts, sizes = make_scene([(1.0, 2.0)]).facts, Sizes.of(QFont())
    widths = {columns(facts, float(width), sizes).crop[1] for width in range(40, 600, 4)}
    assert 0.0 in widths
    assert min(widths - {0.0}) >= 3.0 * sizes.text_px


def test_a_crop_that_does_not_fit_beside_the_code_stands_under_it(
    qtbot: QtBot, make_scene: MakeScene
) -> None:
    facts, sizes = make_scene([(1.0, 2.0)]).facts, Sizes.of(QFont())
    wide = columns(facts, 600.0, sizes)
    assert not wide.under
    tight = columns(facts, wide.code[1] + wide.left[1] + wide.crop[1], sizes)
    assert tight.under
    assert tight.crop[0] == tight.code[0]
    assert tight.crop[1] >= wide.crop[1]
    # Two lines of its letters are no higher than a line of the strip.
    assert 2.0 * sizes.small_px <= sizes.line_px + 1.0

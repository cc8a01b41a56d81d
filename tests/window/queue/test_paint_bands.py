"""What stands on a market day's label."""

from collections.abc import Callable
from typing import Any

import pytest
from PySide6.QtGui import QFont, QFontMetricsF, QImage, QPainter
from pytestqt.qtbot import QtBot

from ripenroom.season.plans.plan import LikelyFruit, PlannedMarket
from ripenroom.season.projection import Projection, Supply
from ripenroom.window.palette import LIGHT
from ripenroom.window.queue.layout import MOST_CROPS, Form, Layout, Placed, Sizes, lay_out
from ripenroom.window.queue.paint_bands import (
    WrittenBand,
    band_words,
    paint_labels,
    place_bands,
    title_within,
    write_bands,
)
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.time_view import TimeView
from ripenroom.window.theme import bold
from ripenroom.wording.formats import Formats

MakeScene = Callable[..., Scene]
SUPPLIES = [
    Supply("day-2", "pawpaw", 60, 72.0, 50.0, 90.0),
    Supply("day-2", "pear", 40, 20.0, 10.0, 31.0),
]


def test_label_says_what_is_wanted_and_what_is_ready(
    qtbot: QtBot, make_scene: MakeScene, words: Formats
) -> None:
    scene = make_scene([(1.0, 5.0)], {2: "Village market"}, SUPPLIES)
    written = write_bands(scene, words, Sizes.of(QFont()))[0]
    assert written.title == "Village market, Sat Sep 26"
    assert written.crops == (
        ("Pawpaw: 60 wanted · good 72 (50–90)", False),
        ("European pear: 40 wanted · good 20 (10–31) short", True),
    )
    assert written.full_px >= written.title_px


def test_of_a_name_too_long_for_its_room_the_day_is_kept(
    qtbot: QtBot, make_scene: MakeScene, words: Formats
) -> None:
    scene = make_scene([(1.0, 5.0)], {2: "Village market"}, SUPPLIES)
    [one] = write_bands(scene, words, Sizes.of(QFont()))
    metrics = QFontMetricsF(bold(Sizes.of(QFont()).small))
    whole = metrics.horizontalAdvance(one.title)
    assert title_within(one, metrics, whole) == one.title
    for share in (0.95, 0.8):
        said = title_within(one, metrics, whole * share)
        assert said == "Village…, Sat Sep 26"
        assert metrics.horizontalAdvance(said) <= whole * share + 1.0
    # Not a part of a word, as "Village m…", while a word has room.
    name = metrics.horizontalAdvance("Village market")
    assert title_within(one, metrics, name) == "Village market"
    assert title_within(one, metrics, name - 1.0) == "Village…"
    assert title_within(one, metrics, metrics.horizontalAdvance("Villa…") + 1.0) == "Villa…"


@pytest.mark.parametrize(("room", "says"), [(1.02, "Village market"), (0.8, "Village…")])
def test_a_name_without_room_for_its_day_stands_over_it(
    qtbot: QtBot, make_scene: MakeScene, words: Formats, room: float, says: str
) -> None:
    scene = make_scene([(1.0, 5.0)], {2: "Village market"}, SUPPLIES)
    sizes = Sizes.of(QFont())
    [one] = written = write_bands(scene, words, sizes)
    layout = lay_out(400.0, 400.0, sizes, 100.0, 0, compact=True)
    now_h = scene.projection.at_h
    view = TimeView(now_h + 47.0, 2.0, one.wrapped_px[0] * room)
    [where] = place_bands(written, view, layout, now_h, sizes, full=False)
    assert where.form is Form.WRAPPED
    texts = Written.on(view, written, where, layout, now_h, sizes)
    assert texts == [says, "Sat Sep 26"]


def test_no_name_takes_two_lines_where_another_one_would_have_none(
    qtbot: QtBot, make_scene: MakeScene, words: Formats
) -> None:
    scene = make_scene([(1.0, 5.0)], {2: "Village market", 3: "Village square"}, [])
    sizes = Sizes.of(QFont())
    written = write_bands(scene, words, sizes)
    layout = lay_out(400.0, 400.0, sizes, 100.0, 0, compact=True)
    now_h = scene.projection.at_h
    view = TimeView(now_h + 47.0, 2.0, written[0].wrapped_px[0] * 1.25)
    placed = place_bands(written, view, layout, now_h, sizes, full=False)
    assert [one.form for one in placed] == [Form.SHORT, Form.SHORT]


class Written(QPainter):
    """Keeps what is written."""

    texts: list[str]

    def drawText(self, *args: Any) -> None:  # type: ignore[override] # noqa: N802
        self.texts.append(args[-1])

    @classmethod
    def on(
        cls,
        view: TimeView,
        written: list[WrittenBand],
        where: Placed,
        layout: Layout,
        now_h: float,
        sizes: Sizes,
    ) -> list[str]:
        image = QImage(600, 100, QImage.Format.Format_RGB32)
        painter = cls(image)
        painter.texts = []
        paint_labels(painter, written, [where], view, layout, now_h, sizes, LIGHT)
        painter.end()
        return painter.texts


def test_a_label_is_no_wider_than_the_queue(
    qtbot: QtBot, make_scene: MakeScene, words: Formats
) -> None:
    scene = make_scene(
        [(1.0, 5.0)], {2: "A market with quite a long name in the village"}, SUPPLIES
    )
    sizes = Sizes.of(QFont())
    written = write_bands(scene, words, sizes)
    now_h = scene.projection.at_h
    view = TimeView(now_h - 24.0, 2.0, 150.0)
    layout = lay_out(250.0, 400.0, sizes, 100.0, 2, compact=True)
    [where] = place_bands(written, view, layout, now_h, sizes, full=True)
    assert where.form is not Form.TICK
    assert where.x >= 0.0
    assert where.x + where.width <= 150.0


def test_while_a_set_point_is_tried_only_wants_are_told(
    qtbot: QtBot,
    make_scene: MakeScene,
    make_projection: Callable[..., Projection],
    words: Formats,
) -> None:
    scene = make_scene([(1.0, 5.0)], {2: "Village market"}, SUPPLIES)
    trial = scene.trying(make_projection([(2.0, 4.0)]))
    crops = write_bands(trial, words, Sizes.of(QFont()))[0].crops
    assert crops == (("Pawpaw: 60 wanted", False), ("European pear: 40 wanted", False))


def test_many_crops_are_counted_instead_of_listed(
    qtbot: QtBot, make_scene: MakeScene, words: Formats
) -> None:
    many = [Supply("day-2", f"crop {n}", 10, 10.0, 9.0, 11.0) for n in range(7)]
    scene = make_scene([(1.0, 5.0)], {2: "Village market"}, many)
    crops = write_bands(scene, words, Sizes.of(QFont()))[0].crops
    assert len(crops) == MOST_CROPS
    assert crops[-1][0] == f"and {7 - MOST_CROPS + 1} more"
    assert len(band_words(scene.bands[0], scene, words).splitlines()) == 8


def test_a_day_without_wants_says_so(make_scene: MakeScene, words: Formats) -> None:
    scene = make_scene([], {2: "Village market"})
    assert band_words(scene.bands[0], scene, words).endswith("nothing wanted yet")


def planned_market(crop: str, wanted: int, planned: float, ready: LikelyFruit) -> PlannedMarket:
    return PlannedMarket("day-2", crop, wanted, planned, ready, 0.0, 0.35)


def test_with_a_plan_a_label_sets_planned_against_wanted(
    qtbot: QtBot, make_planned: MakeScene, words: Formats
) -> None:
    markets = [
        planned_market("pawpaw", 60, 75.0, LikelyFruit(50.0, 63.0, 70.0)),
        planned_market("pear", 40, 30.0, LikelyFruit(10.0, 20.0, 28.0)),
    ]
    scene = make_planned(1, markets=markets, supplies=SUPPLIES)
    crops = write_bands(scene, words, Sizes.of(QFont()))[0].crops
    assert crops == (
        ("Pawpaw: 60 wanted · planned 75, 63 good", False),
        ("European pear: 40 wanted · planned 30, 20 good, short", True),
    )
    said = band_words(scene.bands[0], scene, words).splitlines()
    assert said[1] == (
        "Pawpaw: 60 wanted · planned 75, good 63 (50–70): up to 10 short; 35% risk of too few"
    )
    assert said[2].startswith("European pear: 40 wanted · planned 30, good 20 (10–28): 12–30 short")


def test_a_plan_of_before_a_want_was_changed_is_not_told(
    qtbot: QtBot, make_planned: MakeScene, words: Formats
) -> None:
    markets = [planned_market("pawpaw", 55, 75.0, LikelyFruit(50.0, 63.0, 70.0))]
    scene = make_planned(1, markets=markets, supplies=SUPPLIES)
    assert write_bands(scene, words, Sizes.of(QFont()))[0].crops[0] == (
        "Pawpaw: 60 wanted · good 72 (50–90)",
        False,
    )

"""What stands on a market day's label."""

from collections.abc import Callable

from PySide6.QtGui import QFont
from pytestqt.qtbot import QtBot

from ripenroom.season.findings import Supply
from ripenroom.season.projection import Projection
from ripenroom.window.queue.band_labels import band_words, write_bands
from ripenroom.window.queue.layout import MOST_CROPS, Sizes
from ripenroom.window.queue.scene import Scene
from ripenroom.window.wording import Wording

MakeScene = Callable[..., Scene]
SUPPLIES = [
    Supply("day-2", "pawpaw", 60, 72.0, 50.0, 90.0),
    Supply("day-2", "pear", 40, 20.0, 10.0, 31.0),
]


def test_label_says_what_is_wanted_and_what_is_ready(
    qtbot: QtBot, make_scene: MakeScene, words: Wording
) -> None:
    scene = make_scene([(1.0, 5.0)], {2: "Village market"}, SUPPLIES)
    written = write_bands(scene, words, Sizes.of(QFont()))[0]
    assert written.title == "Village market, Sat 26 Sep"
    assert written.crops == (
        ("Pawpaw: wants 60 · ready 72 (50–90)", False),
        ("European pear: wants 40 · ready 20 (10–31) short", True),
    )
    assert written.full_px >= written.title_px


def test_while_a_set_point_is_tried_only_wants_are_told(
    qtbot: QtBot,
    make_scene: MakeScene,
    make_projection: Callable[..., Projection],
    words: Wording,
) -> None:
    scene = make_scene([(1.0, 5.0)], {2: "Village market"}, SUPPLIES)
    trial = scene.trying(make_projection([(2.0, 4.0)]))
    crops = write_bands(trial, words, Sizes.of(QFont()))[0].crops
    assert crops == (("Pawpaw: wants 60", False), ("European pear: wants 40", False))


def test_many_crops_are_counted_instead_of_listed(
    qtbot: QtBot, make_scene: MakeScene, words: Wording
) -> None:
    many = [Supply("day-2", f"crop {n}", 10, 10.0, 9.0, 11.0) for n in range(7)]
    scene = make_scene([(1.0, 5.0)], {2: "Village market"}, many)
    crops = write_bands(scene, words, Sizes.of(QFont()))[0].crops
    assert len(crops) == MOST_CROPS
    assert crops[-1][0] == f"and {7 - MOST_CROPS + 1} more"
    assert len(band_words(scene.bands[0], scene, words).splitlines()) == 8


def test_a_day_without_wants_says_so(make_scene: MakeScene, words: Wording) -> None:
    scene = make_scene([], {2: "Village market"})
    assert band_words(scene.bands[0], scene, words).endswith("no wants written down")

"""The key: five marks at first, every other one when it is asked for."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.palette import INKS, Palette
from ripenroom.window.queue.legend import QueueLegend
from ripenroom.window.style_sheet import style_sheet


@pytest.fixture
def legend(qtbot: QtBot, settings: QSettings) -> QueueLegend:
    made = QueueLegend(settings)
    qtbot.addWidget(made)
    made.resize(1000, 90)
    made.show()
    return made


def entries(legend: QueueLegend) -> list[QWidget]:
    marks = [w for w in legend.findChildren(QWidget) if w.accessibleName()]
    return [mark for mark in marks if not isinstance(mark, QPushButton)]


def test_five_marks_are_explained_at_first(legend: QueueLegend) -> None:
    shown = [mark.accessibleName() for mark in entries(legend) if mark.isVisible()]
    assert shown == [
        "not ready yet, ready, past",
        "now",
        "market day",
        "crates for that day",
        "planned move",
    ]


def test_every_mark_has_its_words_and_is_painted(legend: QueueLegend) -> None:
    marks = entries(legend)
    assert len({mark.accessibleName() for mark in marks}) == len(marks) == 15
    images = [mark.grab().toImage() for mark in marks]
    assert all(one != other for n, one in enumerate(images) for other in images[n + 1 :])


def test_the_others_are_asked_for_by_key_and_remembered(
    qtbot: QtBot, legend: QueueLegend, settings: QSettings
) -> None:
    [soft] = [mark for mark in entries(legend) if "less sure" in mark.accessibleName()]
    assert not soft.isVisible()
    QTest.keyClick(legend.all, Qt.Key.Key_Space)
    assert soft.isVisible()
    again = QueueLegend(settings)
    qtbot.addWidget(again)
    again.show()
    assert again.rest.isVisible()


def test_a_narrow_legend_takes_more_rows(legend: QueueLegend) -> None:
    flow = legend.first.flow
    assert flow.heightForWidth(300) > flow.heightForWidth(2000)


@pytest.mark.parametrize(
    ("words", "show"),
    [
        ("posts", lambda legend: legend.show_gates(True)),
        ("cold spoils", lambda legend: legend.show_cold(True)),
        ("moved there", lambda legend: legend.show_moves(True)),
        ("pinned", lambda legend: legend.show_plan({"knot"})),
    ],
)
def test_rare_marks_are_explained_where_there_are_any(
    legend: QueueLegend, words: str, show: Callable[[QueueLegend], None]
) -> None:
    legend.all.click()
    [mark] = [mark for mark in entries(legend) if words in mark.accessibleName()]
    assert not mark.isVisible()
    show(legend)
    assert mark.isVisible()


@pytest.mark.parametrize("colours", INKS)
def test_the_button_looks_pressed_while_all_marks_are_shown(
    qtbot: QtBot, qapp: QApplication, colours: Palette
) -> None:
    """By its ground, and by its frame too: in light looks both grounds are nearly white."""
    legend = QueueLegend()
    qtbot.addWidget(legend)
    legend.setStyleSheet(style_sheet(colours, qapp.font()))
    legend.all.resize(legend.all.sizeHint())
    up = legend.all.grab().toImage()
    legend.all.setChecked(True)
    pressed = legend.all.grab().toImage()
    middle, inside = pressed.height() // 2, 5
    assert up.pixelColor(inside, middle) == colours.field
    assert pressed.pixelColor(inside, middle) == colours.chosen
    # One pixel of frame before, two while it is pressed.
    assert up.pixelColor(1, middle) == colours.field
    assert pressed.pixelColor(1, middle) == colours.text

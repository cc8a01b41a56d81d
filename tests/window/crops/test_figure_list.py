"""The list of figures and what stands beneath it."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.document import CropDocument
from ripenroom.window.crops.figure_list import FigureList
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.figures import FigureGroup, figure_groups
from ripenroom.window.session import Session
from ripenroom.window.style_sheet import SMALLEST_TARGET


@pytest.fixture
def groups(session: Session, units: Units) -> list[FigureGroup]:
    document = CropDocument(session.season.crop_text("pawpaw"))
    return figure_groups(document, session.season.crops["pawpaw"], units)


@pytest.fixture
def figures(qtbot: QtBot, groups: list[FigureGroup]) -> FigureList:
    made = FigureList()
    qtbot.addWidget(made)
    made.show_groups(groups, "N", by_gauge=True, writable=True)
    made.resize(600, 500)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


def test_arrow_keys_tell_each_figure_in_full(figures: FigureList) -> None:
    first = figures.current()
    assert first is not None
    assert figures.told.text() == first.told
    QTest.keyClick(figures.tree, Qt.Key.Key_Down)
    second = figures.current()
    assert second is not None
    assert second != first
    assert figures.told.text() == second.told


def test_hovering_and_listening_tell_the_same(figures: FigureList) -> None:
    item, line = figures.tree.currentItem(), figures.current()
    assert item is not None
    assert line is not None
    assert item.toolTip(2) == line.told
    assert item.data(0, Qt.ItemDataRole.AccessibleTextRole) == line.told


def test_enter_and_the_button_ask_to_edit(qtbot: QtBot, figures: FigureList) -> None:
    line = figures.current()
    figures.tree.setFocus()
    with qtbot.waitSignal(figures.editAsked) as asked:
        QTest.keyClick(figures.tree, Qt.Key.Key_Return)
    assert asked.args == [line]
    with qtbot.waitSignal(figures.editAsked):
        figures.edit_button.click()


def test_words_and_a_season_that_is_only_read_cannot_be_edited(
    figures: FigureList, groups: list[FigureGroup]
) -> None:
    figures.select(("ethylene", "produces"))
    assert not figures.edit_button.isEnabled()
    figures.select(("firmness", "ready"))
    assert figures.edit_button.isEnabled()
    figures.show_groups(groups, "N", by_gauge=True, writable=False)
    assert not figures.edit_button.isEnabled()


def test_the_selected_figure_stays_when_figures_change(
    figures: FigureList, groups: list[FigureGroup]
) -> None:
    figures.select(("storage", "life", 1, "days"))
    figures.show_groups(groups, "kgf", by_gauge=True, writable=True)
    line = figures.current()
    assert line is not None
    assert line.path == ("storage", "life", 1, "days")
    assert figures.unit.value() == "kgf"


def test_a_unit_is_asked_for_only_where_a_gauge_is(
    figures: FigureList, groups: list[FigureGroup]
) -> None:
    assert figures.unit.isVisible()
    figures.show_groups(groups, "N", by_gauge=False, writable=True)
    assert not figures.unit.isVisible()


def test_names_are_whole_and_lines_can_be_hit(figures: FigureList) -> None:
    QApplication.processEvents()
    wide = figures.tree.columnWidth(0)
    for row in range(figures.tree.topLevelItemCount()):
        item = figures.tree.topLevelItem(row)
        assert item is not None
        assert figures.tree.fontMetrics().horizontalAdvance(item.text(0)) <= wide
        assert figures.tree.visualItemRect(item).height() >= SMALLEST_TARGET

"""The one table as it is used: keys, and what stays chosen."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QItemSelectionModel, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.widgets.table import Table
from ripenroom.window.widgets.table_view import Choice, TableView
from tests.window.widgets.fruit_table import (
    FALLING,
    FIG,
    FRUIT,
    NAME,
    NOTE,
    PEAR,
    PLUM,
    QUINCE,
    RISING,
    Fruit,
    columns,
    fruit_table,
)


@pytest.fixture
def table(qapp: QApplication) -> Table[Fruit]:
    return fruit_table()


Make = Callable[..., TableView[Fruit]]


@pytest.fixture
def make(qtbot: QtBot, table: Table[Fruit]) -> Make:
    parent = QWidget()
    qtbot.addWidget(parent)

    def made(choice: Choice, table: Table[Fruit] = table) -> TableView[Fruit]:
        view = TableView("Fruit", table, parent, choice)
        parent.resize(500, 300)
        view.resize(500, 300)
        parent.show()
        return view

    return made


def test_keys_do_what_they_are_for_and_commands_are_told_from_letters(make: Make) -> None:
    view, did = make(Choice.ROW), list[str]()
    view.act_on(Qt.Key.Key_C, does=lambda: did.append("check"))
    view.act_on(QKeySequence.StandardKey.Copy, does=lambda: did.append("copy"))
    view.open_with(lambda: did.append("open"))
    view.choose(0)
    QTest.keyClick(view, Qt.Key.Key_C)
    QTest.keyClick(view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(view, Qt.Key.Key_Enter, Qt.KeyboardModifier.KeypadModifier)
    QTest.keyClick(view, Qt.Key.Key_Down)
    cell = view.visualRect(view.table.index(0, 0)).center()
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=cell)
    QTest.mouseDClick(view.viewport(), Qt.MouseButton.LeftButton, pos=cell)
    assert did == ["check", "copy", "open", "open"]
    assert view.current() is PEAR


def test_the_chosen_row_stays_so_or_the_one_in_its_place_is_chosen(make: Make) -> None:
    view = make(Choice.ROW)
    view.choose(view.table.row_of("plum"))
    view.table.show_rows([Fruit("apple"), *FRUIT])
    assert view.current() is PLUM
    view.table.show_rows([PEAR, FIG, QUINCE])
    assert view.current() is QUINCE
    view.table.show_rows([])
    assert view.current() is None
    view.table.show_rows(FRUIT)
    assert view.current() is PEAR


def test_all_chosen_rows_stay_so_when_sorted_filtered_and_shown_again(make: Make) -> None:
    view = make(Choice.ROWS)
    view.choose_ids(["quince", "Fig"], "Fig")
    view.start_sorted(NAME, FALLING)
    assert view.chosen() == [QUINCE, FIG]
    view.sortByColumn(NAME, RISING)
    assert view.chosen() == [FIG, QUINCE]
    view.table.show_rows([*FRUIT])
    assert view.chosen() == [FIG, QUINCE]
    assert view.current() is FIG
    view.table.filter_by(lambda row: row is not FIG)
    assert view.chosen() == [QUINCE]
    assert view.current() is None


def test_rows_keep_their_heights_when_they_are_sorted(make: Make) -> None:
    view = make(Choice.ROWS)
    view.setRowHeight(1, 90)
    view.sortByColumn(NAME, FALLING)
    heights = [view.rowHeight(row) for row in range(4)]
    assert heights.index(90) == view.table.row_of("Fig") == 3
    assert heights.count(90) == 1


def test_the_keyboard_passes_over_headings_among_the_rows(make: Make) -> None:
    title = Fruit("Stone fruit")
    table = Table(columns(), heads=lambda row: row is title)
    view = make(Choice.ROW, table)
    table.show_rows([title, PLUM, PEAR])
    assert view.current() is PLUM
    QTest.keyClick(view, Qt.Key.Key_Up)
    assert view.current() is PLUM
    assert table.at(0) is None
    assert table.first(lambda _row: True) == 1


def test_a_cell_stays_chosen_in_its_row_and_column(make: Make) -> None:
    table = Table(columns(), id_of=lambda row: row.name, name_of=lambda row: row.name[0])
    view = make(Choice.CELL, table)
    assert table.headerData(0, Qt.Orientation.Vertical) is None
    table.show_rows(FRUIT)
    assert table.headerData(3, Qt.Orientation.Vertical) == "q"
    assert view.current() is None
    view.selectionModel().setCurrentIndex(
        table.index(1, NOTE), QItemSelectionModel.SelectionFlag.ClearAndSelect
    )
    table.show_rows([FIG, PLUM])
    assert (view.current(), view.currentIndex().column()) == (FIG, NOTE)
    table.show_rows([PLUM])
    assert (view.current(), view.currentIndex().column()) == (PLUM, NOTE)

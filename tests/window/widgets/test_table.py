"""The one table: what it shows, how it sorts, and what stays chosen."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QItemSelectionModel, QModelIndex, Qt
from PySide6.QtGui import QColor, QKeySequence
from PySide6.QtTest import QAbstractItemModelTester, QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.widgets.table import RIGHT, SortKey, Table, TableColumn
from ripenroom.window.widgets.table_view import Choice, TableView

NAME, COUNT, NOTE = range(3)
RISING, FALLING = Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder


@dataclass(frozen=True)
class Fruit:
    name: str
    count: float | None = None
    note: str = ""


PEAR, FIG, PLUM, QUINCE = (
    Fruit("pear", 9.0, "b"),
    Fruit("Fig", 40.0, "a"),
    Fruit("plum", None, "b"),
    Fruit("quince", 9.0, "c"),
)
FRUIT = [PEAR, FIG, PLUM, QUINCE]


def columns(typed: list[tuple[Fruit, str]] | None = None) -> list[TableColumn[Fruit]]:
    def take(row: Fruit, text: str) -> None:
        assert typed is not None
        typed.append((row, text))

    return [
        TableColumn("Fruit", lambda row: row.name, heard=lambda row: f"fruit {row.name}"),
        TableColumn(
            "How many",
            lambda row: "" if row.count is None else f"{row.count:g}",
            lambda row: row.count,
            RIGHT,
            hint=lambda row: f"<b>{row.name}</b>" if row.count else None,
        ),
        TableColumn(
            "Note",
            lambda row: row.note,
            ink=lambda row: QColor("red") if row.note == "a" else None,
            take=take if typed is not None else None,
        ),
    ]


@pytest.fixture
def table(qapp: QApplication) -> Table[Fruit]:
    made = Table(columns(), id_of=lambda row: row.name)
    made.show_rows(FRUIT)
    return made


def names(table: Table[Fruit]) -> list[str]:
    return [row.name for row in table.rows]


def test_it_keeps_qts_rules_through_all_that_happens_to_it(table: Table[Fruit]) -> None:
    fatal = QAbstractItemModelTester.FailureReportingMode.Fatal
    tester = QAbstractItemModelTester(table, fatal)
    table.sort(COUNT, FALLING)
    table.filter_by(lambda row: row.count is not None)
    table.show_rows(FRUIT[:1], columns()[:2])
    table.say_again()
    table.show_rows([])
    table.say_again()
    assert (table.rowCount(), table.columnCount()) == (0, 2)
    assert tester is not None


def test_a_cell_says_what_its_column_says_of_the_row(table: Table[Fruit]) -> None:
    role = Qt.ItemDataRole
    assert table.index(0, NAME).data() == "pear"
    assert table.index(0, NAME).data(role.AccessibleTextRole) == "fruit pear"
    assert table.index(0, COUNT).data(role.AccessibleTextRole) == "9"
    assert table.index(0, COUNT).data(role.TextAlignmentRole) == RIGHT
    assert table.index(2, COUNT).data(role.ToolTipRole) is None
    assert "&lt;b&gt;pear" in table.index(0, COUNT).data(role.ToolTipRole)  # never marked up
    assert table.index(1, NOTE).data(role.ForegroundRole) == QColor("red")
    assert table.index(0, NOTE).data(role.ForegroundRole) is None
    assert table.headerData(COUNT, Qt.Orientation.Horizontal) == "How many"
    assert table.headerData(0, Qt.Orientation.Vertical) is None
    assert table.data(QModelIndex()) is None


@pytest.mark.parametrize(
    ("column", "order", "wanted"),
    [
        (NAME, RISING, ["Fig", "pear", "plum", "quince"]),  # capitals or not
        (COUNT, RISING, ["pear", "quince", "Fig", "plum"]),  # as numbers: 9 before 40
        (COUNT, FALLING, ["Fig", "pear", "quince", "plum"]),  # alike as they came, none last
        (NOTE, FALLING, ["quince", "pear", "plum", "Fig"]),
    ],
)
def test_it_sorts(table: Table[Fruit], column: int, order: Qt.SortOrder, wanted: list[str]) -> None:
    table.sort(column, order)
    assert names(table) == wanted


@given(
    keys=st.lists(st.none() | st.floats() | st.just(math.nan), max_size=12), falling=st.booleans()
)
def test_empty_rows_are_last_and_rows_that_are_alike_stay_as_they_came(
    keys: list[float | None], falling: bool
) -> None:
    def key(pair: tuple[int, float | None]) -> SortKey:
        return pair[1]

    table = Table([TableColumn("Key", str, key)])
    table.show_rows(list(enumerate(keys)))
    table.sort(0, FALLING if falling else RISING)
    filled = [pair for pair in table.rows if pair[1] is not None and not math.isnan(pair[1])]
    assert table.rows[: len(filled)] == filled
    for (n, one), (m, other) in pairwise(filled):
        assert one is not None
        assert other is not None
        assert (one > other if falling else one < other) or (one == other and n < m)
    empty = [n for n, _ in table.rows[len(filled) :]]
    assert empty == sorted(empty)
    assert len(table.rows) == len(keys)


def test_filter_and_order_are_kept_and_all_rows_are_known(table: Table[Fruit]) -> None:
    table.sort(NAME, FALLING)
    table.filter_by(lambda row: row.name.startswith("p"))
    assert names(table) == ["plum", "pear"]
    table.show_rows([*FRUIT, Fruit("papaya")])
    assert names(table) == ["plum", "pear", "papaya"]
    assert len(table.given) == 5
    table.filter_by(None)
    assert len(table.rows) == 5
    assert table.row_of("quince") == 0
    assert table.row_of("lemon") is None


def test_what_is_typed_is_handed_on_with_its_row(qapp: QApplication) -> None:
    typed: list[tuple[Fruit, str]] = []
    table = Table(columns(typed))
    table.show_rows(FRUIT)
    table.sort(NAME, RISING)
    assert table.setData(table.index(0, NOTE), "ripe")
    assert typed == [(FIG, "ripe")]
    assert not table.setData(table.index(0, NOTE), "a")  # it stands there already
    assert not table.setData(table.index(0, NAME), "date")
    editable = Qt.ItemFlag.ItemIsEditable
    assert table.flags(table.index(0, NOTE)) & editable
    assert not table.flags(table.index(0, NAME)) & editable


# As it is used

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

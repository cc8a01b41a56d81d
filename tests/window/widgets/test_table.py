"""The one table: what it says, how it sorts and is filtered."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QApplication

from ripenroom.window.widgets.table import RIGHT, SortKey, Table, TableColumn
from tests.window.widgets.fruit_table import (
    COUNT,
    FALLING,
    FIG,
    FRUIT,
    NAME,
    NOTE,
    RISING,
    Fruit,
    columns,
    fruit_table,
)


@pytest.fixture
def table(qapp: QApplication) -> Table[Fruit]:
    return fruit_table()


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

"""The columns of the list of batches: what they say, and how they sort."""

import pytest
from PySide6.QtCore import QModelIndex, Qt

from ripenroom.window.picks.batch_rows import BatchRow, Column, batch_lines, holds
from ripenroom.window.picks.batch_table import batch_columns
from ripenroom.window.session import Session
from ripenroom.window.widgets.table import Table
from tests.window.conftest import UNKNOWN_CROP


@pytest.fixture
def table(session: Session) -> Table[BatchRow]:
    made = Table(batch_columns(), id_of=lambda row: row.batch_id)
    made.show_rows(batch_lines(session))
    return made


def test_every_column_is_described(table: Table[BatchRow]) -> None:
    assert table.columnCount() == len(Column)
    assert all(column.heading for column in table.columns)


def shown(model: Table[BatchRow], column: Column) -> list[object]:
    return [model.data(model.index(row, column)) for row in range(model.rowCount())]


def test_numbers_sort_as_numbers(table: Table[BatchRow]) -> None:
    table.sort(Column.LEFT, Qt.SortOrder.AscendingOrder)
    left = [int(str(text)) for text in shown(table, Column.LEFT)]
    assert left == sorted(left)
    table.sort(Column.LEFT, Qt.SortOrder.DescendingOrder)
    assert [int(str(text)) for text in shown(table, Column.LEFT)] == sorted(left, reverse=True)


def test_filter_and_order_outlive_a_change(table: Table[BatchRow], session: Session) -> None:
    table.sort(Column.CODE, Qt.SortOrder.AscendingOrder)
    table.filter_by(holds("pawpaw", with_empty=True))
    before = shown(table, Column.CODE)
    assert 0 < len(before) < len(table.given)
    table.show_rows(batch_lines(session))
    assert shown(table, Column.CODE) == before == sorted(before, key=str)


@pytest.mark.usefixtures("with_unforeseen")
@pytest.mark.parametrize("column", list(Column))
def test_batches_without_dates_sort_with_the_others(table: Table[BatchRow], column: Column) -> None:
    for order in Qt.SortOrder:
        table.sort(column, order)
        row = table.row_of(UNKNOWN_CROP)
        assert row is not None
        mark = table.data(table.index(row, Column.STATE), Qt.ItemDataRole.DecorationRole)
        assert mark is None


def test_every_state_has_its_mark_and_its_word(table: Table[BatchRow]) -> None:
    index = table.index(0, Column.STATE)
    assert table.data(index, Qt.ItemDataRole.DecorationRole) is not None
    assert table.data(index)
    assert table.data(QModelIndex()) is None

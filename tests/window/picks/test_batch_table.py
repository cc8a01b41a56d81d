"""The table model: sorted and filtered in Python."""

import pytest
from PySide6.QtCore import QModelIndex, Qt
from pytestqt.modeltest import ModelTester

from ripenroom.window.picks.batch_rows import Column, batch_lines
from ripenroom.window.picks.batch_table import BatchModel
from ripenroom.window.session import Session
from tests.window.conftest import UNKNOWN_CROP


def test_the_model_keeps_qts_rules(qtmodeltester: ModelTester, session: Session) -> None:
    model = BatchModel()
    model.set_lines(batch_lines(session))
    qtmodeltester.check(model)  # type: ignore[no-untyped-call]


def shown(model: BatchModel, column: Column) -> list[object]:
    return [model.data(model.index(row, column)) for row in range(model.rowCount())]


def test_numbers_sort_as_numbers(session: Session) -> None:
    model = BatchModel()
    model.set_lines(batch_lines(session))
    model.sort(Column.LEFT, Qt.SortOrder.AscendingOrder)
    left = [int(str(text)) for text in shown(model, Column.LEFT)]
    assert left == sorted(left)
    model.sort(Column.LEFT, Qt.SortOrder.DescendingOrder)
    assert [int(str(text)) for text in shown(model, Column.LEFT)] == sorted(left, reverse=True)


def test_filter_and_order_outlive_a_change(session: Session) -> None:
    model = BatchModel()
    model.set_lines(batch_lines(session))
    model.sort(Column.CODE, Qt.SortOrder.AscendingOrder)
    model.set_filter("pawpaw", with_empty=True)
    before = shown(model, Column.CODE)
    assert 0 < len(before) < model.known
    model.set_lines(batch_lines(session))
    assert shown(model, Column.CODE) == before == sorted(before, key=str)


@pytest.mark.usefixtures("with_unforeseen")
@pytest.mark.parametrize("column", list(Column))
def test_batches_without_dates_sort_with_the_others(session: Session, column: Column) -> None:
    model = BatchModel()
    model.set_lines(batch_lines(session))
    for order in Qt.SortOrder:
        model.sort(column, order)
        row = model.row_of(UNKNOWN_CROP)
        assert row is not None
        mark = model.data(model.index(row, Column.STATE), Qt.ItemDataRole.DecorationRole)
        assert mark is None


def test_every_state_has_its_mark_and_its_word(session: Session) -> None:
    model = BatchModel()
    model.set_lines(batch_lines(session))
    index = model.index(0, Column.STATE)
    assert model.data(index, Qt.ItemDataRole.DecorationRole) is not None
    assert model.data(index)
    assert model.data(QModelIndex()) is None

"""The columns of the list of batches: what they say, and how they sort."""

import pytest
from PySide6.QtCore import QModelIndex, Qt

from ripenroom.records.batch import FEELS
from ripenroom.season import actions
from ripenroom.window.picks.batch_table import (
    BatchRow,
    Column,
    batch_columns,
    batch_lines,
    feel_text,
    holds,
)
from ripenroom.window.session import Session
from ripenroom.window.widgets.table import Table
from ripenroom.wording.formats import NEVER
from ripenroom.wording.names import feel_names
from tests.window.conftest import UNKNOWN_CROP, UNPLACED


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


def test_every_batch_has_one_line_with_all_columns(session: Session) -> None:
    lines = batch_lines(session)
    assert {line.batch_id for line in lines} == set(session.season.book.batches)
    for line in lines:
        assert len(line.texts) == len(line.keys) == len(Column)
        assert line.texts[Column.CODE] == session.season.book.batches[line.batch_id].code


@pytest.mark.usefixtures("with_unforeseen")
def test_batches_of_which_nothing_can_be_said_are_listed_too(session: Session) -> None:
    lines = {line.batch_id: line for line in batch_lines(session)}
    assert lines.keys() == session.season.book.batches.keys()
    unknown, unplaced = lines[UNKNOWN_CROP], lines[UNPLACED]
    assert unknown.texts[Column.CROP] == "moonfruit"
    assert unplaced.texts[Column.PLACE] == ""
    for line in (unknown, unplaced):
        assert line.state is None
        assert not line.is_empty
        for column in (Column.LEFT, Column.STATE, Column.OPENS, Column.CLOSES):
            assert line.texts[column] == NEVER


def test_what_is_left_counts_sales(session: Session) -> None:
    line = next(line for line in batch_lines(session) if not line.is_empty)
    left = int(line.texts[Column.LEFT])
    session.season.do(actions.batches.take_out, line.batch_id, left, "sold", session.season.now())
    after = next(one for one in batch_lines(session) if one.batch_id == line.batch_id)
    assert after.is_empty
    assert not holds("", with_empty=False)(after)
    assert holds("", with_empty=True)(after)


def test_every_typed_word_must_match_somewhere(session: Session) -> None:
    lines = batch_lines(session)
    line = lines[0]
    code, place = line.texts[Column.CODE], line.texts[Column.PLACE]
    assert holds(f"{code.lower()} {place.upper()}", with_empty=True)(line)
    assert not any(map(holds(f"{code} nowhere", with_empty=True), lines))


def test_the_feel_is_how_it_felt_when_it_was_last_squeezed(session: Session) -> None:
    """As the day sheet says it: picked with a slight give, it gives by now."""
    season = session.season
    checked = {check.batch_id for check in season.book.checks.values() if check.feel_counts}
    rows = {row.batch_id: row.texts[Column.FEEL] for row in batch_lines(session)}
    others = 0
    for batch_id in checked:
        batch, felt = season.book.batches[batch_id], season.ask.last_felt(batch_id)
        assert felt is not None
        assert rows[batch_id] == feel_names(season.crops[batch.crop])[FEELS.index(felt)]
        others += rows[batch_id] != feel_text(batch, season.crops[batch.crop])
    assert others
    alone = next(b for b in season.book.batches.values() if b.feel_counts and b.id not in checked)
    assert rows[alone.id] == feel_text(alone, season.crops[alone.crop])

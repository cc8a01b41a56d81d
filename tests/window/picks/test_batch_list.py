"""The list of batches by keyboard."""

from dataclasses import replace
from itertools import cycle
from pathlib import Path

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QStyle, QStyleOptionViewItem
from pytestqt.qtbot import QtBot

from ripenroom.records.file import SeasonFile
from ripenroom.season import actions
from ripenroom.window.picks.batch_list import BatchList
from ripenroom.window.picks.batch_table import Column
from ripenroom.window.session import Session
from ripenroom.window.widgets.table_cells import ShortWhereNarrow, broken_px


@pytest.fixture
def batches(qtbot: QtBot, session: Session) -> BatchList:
    made = BatchList(session)
    qtbot.addWidget(made)
    made.resize(820, 400)
    made.refresh()
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    made.table.setFocus()
    return made


@pytest.mark.parametrize(
    ("key", "signal"),
    [
        (Qt.Key.Key_C, "checkAsked"),
        (Qt.Key.Key_M, "moveAsked"),
        (Qt.Key.Key_S, "soldAsked"),
        (Qt.Key.Key_D, "discardAsked"),
        (Qt.Key.Key_E, "editAsked"),
        (Qt.Key.Key_L, "labelsAsked"),
        (Qt.Key.Key_Delete, "deleteAsked"),
    ],
)
def test_each_key_asks_for_the_selected_batch(
    qtbot: QtBot, batches: BatchList, key: Qt.Key, signal: str
) -> None:
    batches.table.selectRow(2)
    with qtbot.waitSignal(getattr(batches, signal)) as asked:
        QTest.keyClick(batches.table, key)
    assert asked.args == [[batches.model.rows[2].batch_id]]


def test_enter_opens_the_batch(qtbot: QtBot, batches: BatchList) -> None:
    batches.table.selectRow(1)
    with qtbot.waitSignal(batches.openBatch) as opened:
        QTest.keyClick(batches.table, Qt.Key.Key_Return)
    assert opened.args == [batches.model.rows[1].batch_id]


def test_keys_do_nothing_without_a_selection(qtbot: QtBot, batches: BatchList) -> None:
    batches.table.clearSelection()
    with qtbot.assertNotEmitted(batches.deleteAsked):
        QTest.keyClick(batches.table, Qt.Key.Key_Delete)


@pytest.mark.parametrize(
    ("key", "name"),
    [
        (Qt.Key.Key_C, "Check"),
        (Qt.Key.Key_S, "Sold"),
        (Qt.Key.Key_D, "Discard"),
        (Qt.Key.Key_E, "Edit"),
    ],
)
def test_a_key_for_one_batch_says_so_where_two_are_selected(
    qtbot: QtBot, batches: BatchList, key: Qt.Key, name: str
) -> None:
    batches.select([batches.model.rows[1].batch_id, batches.model.rows[2].batch_id])
    with qtbot.waitSignal(batches.session.said) as said:
        QTest.keyClick(batches.table, key)
    assert said.args == [
        f"{name} takes one batch at a time, and 2 are selected: click on one of them."
    ]


def test_keys_without_a_selection_say_what_to_do(qtbot: QtBot, batches: BatchList) -> None:
    batches.table.clearSelection()
    with qtbot.waitSignal(batches.session.said) as said:
        QTest.keyClick(batches.table, Qt.Key.Key_M)
    assert said.args == ["Select a batch in the list first."]


def test_move_and_labels_take_all_that_are_selected(qtbot: QtBot, batches: BatchList) -> None:
    both = [batches.model.rows[1].batch_id, batches.model.rows[2].batch_id]
    batches.select(both)
    for key, asked in ((Qt.Key.Key_M, batches.moveAsked), (Qt.Key.Key_L, batches.labelsAsked)):
        with qtbot.waitSignal(asked) as told:
            QTest.keyClick(batches.table, key)
        assert told.args == [both]


def test_the_selection_stays_when_the_season_changes(batches: BatchList, session: Session) -> None:
    batches.select([batches.model.rows[3].batch_id])
    kept = batches.selected()
    other = next(key for key in session.season.book.batches if key not in kept)
    session.season.do(actions.batches.delete, [other])
    batches.refresh()
    assert batches.selected() == kept


def test_sorting_keeps_the_selection(batches: BatchList) -> None:
    batches.table.selectRow(2)
    kept = batches.selected()
    batches.table.sortByColumn(Column.CROP, Qt.SortOrder.AscendingOrder)
    assert batches.selected() == kept


def test_nothing_is_asked_for_what_a_filter_took_away(qtbot: QtBot, batches: BatchList) -> None:
    batches.table.selectRow(0)
    batches.finder.setText("nothing is called this")
    with qtbot.assertNotEmitted(batches.deleteAsked):
        QTest.keyClick(batches.table, Qt.Key.Key_Delete)


def test_a_batch_that_is_pointed_to_is_shown_though_it_was_filtered_out(
    batches: BatchList,
) -> None:
    wanted = batches.model.rows[0].batch_id
    batches.finder.setText("nothing is called this")
    assert batches.empty.isVisible()
    batches.select([wanted])
    assert batches.selected() == [wanted]
    assert batches.table.isVisible()


def test_a_scroll_bar_that_comes_takes_no_date_with_it(qtbot: QtBot, batches: BatchList) -> None:
    bar = batches.table.verticalScrollBar()
    batches.finder.setText("E-0928-1")
    qtbot.waitUntil(lambda: not bar.isVisible())
    batches.refresh()
    batches.finder.clear()
    qtbot.waitUntil(bar.isVisible)
    assert batches.table.horizontalHeader().length() <= batches.table.viewport().width()
    assert not batches.table.horizontalScrollBar().isVisible()


@pytest.mark.parametrize("width", [620, 760, 1200])
def test_columns_fit_the_width_and_the_dates_stay_whole(batches: BatchList, width: int) -> None:
    batches.resize(width, 400)
    header = batches.table.horizontalHeader()
    assert header.length() <= batches.table.viewport().width()
    for column in (Column.CODE, Column.OPENS, Column.CLOSES):
        assert header.sectionSize(column) >= batches.table.sizeHintForColumn(column)


def test_in_a_small_window_feel_and_place_are_whole_or_not_there(batches: BatchList) -> None:
    batches.resize(984 - 156, 400)  # what the column of pages and the margins leave of 1024
    table = batches.table
    for column in (Column.FEEL, Column.PLACE):
        whole = table.columnWidth(column) >= table.sizeHintForColumn(column)
        assert whole or table.isColumnHidden(column), column
    assert not table.isColumnHidden(Column.PLACE)


LONG = ("Pennsylvania Golden", "Susquehanna", "Middle row 2, by the barn", "Walk-in cooler")


@pytest.fixture
def with_long_names(season_path: Path) -> None:
    """Cultivars, rows and places have names of several words."""
    file = SeasonFile.open(season_path)
    book = file.read()
    names = cycle(LONG[:2])
    cultivars = [
        replace(one, name=f"{next(names)}{n}") for n, one in enumerate(book.cultivars.values())
    ]
    rows = [replace(one, name=f"{LONG[2]} {n}") for n, one in enumerate(book.rows.values())]
    places = [replace(one, name=f"{LONG[3]} {n}") for n, one in enumerate(book.places.values())]
    file.write("rename", [*cultivars, *rows, *places])
    file.close()


def said_in(batches: BatchList, row: int, column: Column) -> tuple[str, QRect]:
    """What stands in a cell, and the room that it has there."""
    table = batches.table
    index = batches.model.index(row, column)
    option = QStyleOptionViewItem()
    table.initViewItemOption(option)
    option.rect = table.visualRect(index)
    delegate = table.itemDelegateForIndex(index)
    text = str(index.data())
    if isinstance(delegate, ShortWhereNarrow):
        delegate.initStyleOption(option, index)
        text = option.text
    margin = table.style().pixelMetric(QStyle.PixelMetric.PM_FocusFrameHMargin) + 1
    return text, option.rect.adjusted(margin, 0, -margin, 0)


@pytest.mark.usefixtures("with_long_names")
@pytest.mark.parametrize("width", [984 - 156, 760, 1000])
def test_names_of_several_words_are_read_whole(batches: BatchList, width: int) -> None:
    """In two lines, where 1024 leave no room for one; never cut off."""
    batches.resize(width, 400)
    table, flags = batches.table, int(Qt.TextFlag.TextWordWrap)
    named = (Column.CROP, Column.ROW, Column.PLACE)
    assert [table.isColumnHidden(column) for column in named] == [False, width < 800, False]
    for column in (one for one in named if not table.isColumnHidden(one)):
        for row in range(batches.model.rowCount()):
            text, room = said_in(batches, row, column)
            needs = table.fontMetrics().boundingRect(QRect(room), flags, text)
            assert needs.width() <= room.width(), text
            assert needs.height() <= room.height(), text
            assert text.startswith(LONG)


@pytest.mark.usefixtures("with_long_names")
def test_the_crop_behind_a_cultivar_goes_before_any_name_is_cut(batches: BatchList) -> None:
    row = next(n for n, one in enumerate(batches.model.rows) if one.fruit.startswith(LONG[0]))
    fruit, whole = batches.model.rows[row].fruit, batches.model.rows[row].texts[Column.CROP]
    assert whole.startswith(f"{fruit} · ")
    said: list[str] = []
    for width in range(620, 1700, 20):
        batches.resize(width, 400)
        text, room = said_in(batches, row, Column.CROP)
        letters = batches.table.fontMetrics()
        fits = broken_px(whole, letters, 2) <= room.width()
        assert text == (whole if fits else fruit)
        said.append(text)
    assert {*said[:-1]} == {fruit, whole}
    assert said[-1] == whole


def test_large_letters_take_rows_and_not_width(
    qtbot: QtBot, batches: BatchList, qapp: QApplication
) -> None:
    batches.resize(600, 500)
    large = qapp.font()
    large.setPointSizeF(large.pointSizeF() * 2)
    batches.setFont(large)
    buttons = [b for b in batches.findChildren(QPushButton) if b.isVisible()]
    qtbot.waitUntil(lambda: len({button.y() for button in buttons}) > 1)
    assert batches.minimumSizeHint().width() <= 700
    assert batches.table.y() >= max(button.geometry().bottom() for button in buttons)


def test_a_column_that_is_never_filled_leaves_its_room_to_the_others(
    batches: BatchList, session: Session
) -> None:
    batches.resize(1200, 400)
    assert not batches.table.isColumnHidden(Column.ROW)
    season = session.season
    for batch in season.book.batches.values():
        season.do(actions.batches.change, replace(batch, row_id=None))
    batches.refresh()
    assert batches.table.isColumnHidden(Column.ROW)
    header = batches.table.horizontalHeader()
    assert header.length() == batches.table.viewport().width()


def test_a_season_without_places_says_to_add_one(batches: BatchList, session: Session) -> None:
    season = session.season
    season.do(actions.batches.delete, list(season.book.batches))
    for pick_id in list(season.book.expected_picks):
        season.do(actions.ahead.delete_expected_pick, pick_id)
    for log_id in list(season.book.temperature_logs):
        season.do(actions.places.delete_log, log_id)
    for place_id in list(season.book.places):
        season.do(actions.places.delete, place_id)
    batches.refresh()
    assert "add a place" in batches.empty.text()


def test_an_empty_season_says_what_to_do(batches: BatchList, session: Session) -> None:
    session.season.do(actions.batches.delete, list(session.season.book.batches))
    batches.refresh()
    assert batches.empty.isVisible()
    assert "3 9 6 2" in batches.empty.text()

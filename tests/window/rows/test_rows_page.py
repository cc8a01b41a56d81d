"""The page "Rows" by keyboard: walked, typed in, printed, changed; nothing is picked by a walk."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.window.forms.frost import FrostDialog
from ripenroom.window.forms.tree_row import RowDialog
from ripenroom.window.forms.walk import WalkDialog
from ripenroom.window.forms.walk_sheet import WalkSheetDialog
from ripenroom.window.paper.output import PaperDialog
from ripenroom.window.rows.page import RowsPage
from ripenroom.window.rows.table import Column
from ripenroom.window.session import Session


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> RowsPage:
    made = RowsPage(session)
    qtbot.addWidget(made)
    made.resize(1024, 700)
    made.show()
    made.view.setFocus()
    return made


def text(page: RowsPage, name: str, column: Column) -> str:
    """What a cell of a row of trees says."""
    line = next(n for n, one in enumerate(page.model.rows) if one.row.name == name)
    return str(page.model.index(line, column).data())


def test_rows_are_told_by_name_with_what_is_known_of_them(page: RowsPage) -> None:
    names = [line.row.name for line in page.model.rows]
    assert names == sorted(names)
    assert "Late pawpaws · 7 trees" in text(page, "Wall row", Column.ROW)
    assert text(page, "Wall row", Column.HANGING) == "310"
    assert text(page, "Wall row", Column.PICKED) == "83"
    assert text(page, "Wall row", Column.FALLEN) == "2"
    assert text(page, "Pear avenue", Column.TO_PICK) == "count its fruit"
    assert "29 Sep" in text(page, "Wall row", Column.WALK)


def test_the_keys_of_the_table_open_the_forms(page: RowsPage) -> None:
    for key, kind in (
        (Qt.Key.Key_W, WalkDialog),
        (Qt.Key.Key_T, WalkSheetDialog),
        (Qt.Key.Key_P, PaperDialog),
        (Qt.Key.Key_Insert, RowDialog),
        (Qt.Key.Key_Return, RowDialog),
        (Qt.Key.Key_F, FrostDialog),
    ):
        QTest.keyClick(page.view, key)
        form = page.findChild(kind)
        assert form is not None, kind.__name__
        assert form.isVisible()
        form.reject()
        QTest.qWait(1)


def test_a_walk_shows_at_once_and_nothing_is_picked(page: RowsPage) -> None:
    season = page.session.season
    wall = next(row for row in season.book.rows.values() if row.name == "Wall row")
    page.show_record(wall.id)
    picked = text(page, "Wall row", Column.PICKED)
    QTest.keyClick(page.view, Qt.Key.Key_W)
    form = page.findChild(WalkDialog)
    assert form is not None
    assert form.row.value() == wall.id
    for feel, times in ((0, 3), (1, 2)):
        for _ in range(times):
            form.hand.taps[feel].click()
    form.ground.setText("5")
    form.action_button.click()
    assert text(page, "Wall row", Column.PICKED) == picked
    assert text(page, "Wall row", Column.FALLEN) == "7"
    [walk] = [w for w in season.book.walks.values() if w.at == season.now()]
    assert (walk.feel_counts, walk.on_ground) == ((3, 2, 0, 0, 0), 5)
    assert "3 hard, 2 slight give · 5 on the ground" in page.walks.list.item(0).text()


def test_a_walk_is_corrected_and_deleted_below_the_table(qtbot: QtBot, page: RowsPage) -> None:
    season = page.session.season
    wall = next(row for row in season.book.rows.values() if row.name == "Wall row")
    page.show_record(wall.id)
    walks = len(season.book.walks)
    with qtbot.waitSignal(page.session.said) as said:
        page.walks.delete_button.click()
    assert "Ctrl+Z brings it back" in said.args[0]
    assert len(season.book.walks) == walks - 1
    season.undo()
    assert len(season.book.walks) == walks


def test_a_season_without_rows_says_what_to_do(page: RowsPage) -> None:
    season = page.session.season
    season.do(
        lambda state: actions.Action(
            "clearing",
            tuple(replace(b, row_id=None) for b in state.book.batches.values()),
            (*state.book.walks.values(), *state.book.rows.values()),
        )
    )
    assert page.nothing.isVisible()
    assert not page.view.isVisible()
    assert page.add_button.isEnabled()
    assert not page.walk_button.isEnabled()
    assert not page.print_button.isEnabled()


def test_every_button_has_a_name_and_its_key_is_said(page: RowsPage) -> None:
    for button in page.findChildren(QPushButton):
        assert button.accessibleName() or button.text()
    assert "W" in page.walk_button.toolTip()


def test_the_buttons_take_one_line_in_a_small_window(page: RowsPage) -> None:
    page.resize(867, 640)  # what a window of 1024 x 700 leaves the page
    page.refresh()
    layout = page.layout()
    assert layout is not None
    layout.activate()
    tops = {
        button.y()
        for button in (
            *(page.walk_button, page.sheet_button, page.print_button, page.add_button),
            *(page.change_button, page.seasons_button, page.weather_button, page.frost_button),
        )
    }
    assert len(tops) == 1


def test_a_bloom_that_nobody_noted_is_said_to_be_a_guess(page: RowsPage) -> None:
    season = page.session.season
    wall = next(row for row in season.book.rows.values() if row.name == "Wall row")
    page.show_record(wall.id)
    assert "No bloom entered" not in page.about.text()
    season.do(actions.orchard.save_row, replace(wall, bloomed_on=None))
    page.refresh()
    page.show_record(wall.id)
    assert "No bloom entered: guessed as" in page.about.text()
    assert "days either way, like other rows of its crop." in page.about.text()
    season.do(actions.orchard.save_row, replace(wall, bloomed_on=date(2026, 9, 20)))
    page.refresh()
    page.show_record(wall.id)
    assert "Full bloom on Sun 20 Sep hardly fits what was felt" in page.about.text()


def test_after_a_frost_it_says_which_night_and_what_to_do(page: RowsPage) -> None:
    season = page.session.season
    on = season.state.today - timedelta(days=1)
    season.do(actions.weather.save_day, actions.weather.day_weather(on, -1.0, 12.0))
    page.refresh()
    assert page.frost.text().endswith("fruit drops within days. Bring in what gives.")
    assert "Wed 30 Sep" in page.frost.text()
    season.do(actions.weather.save_day, actions.weather.day_weather(on, -4.0, 12.0))
    page.refresh()
    assert "by now all fruit should be down" in page.frost.text()

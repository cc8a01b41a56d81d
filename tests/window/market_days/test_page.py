"""The page "Market days" by keyboard and mouse."""

from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.forms.market_day import MarketDayDialog
from ripenroom.window.forms.second_grade import SecondGradeDialog
from ripenroom.window.forms.settle_market import SettleDialog
from ripenroom.window.market_days.page import MarketDaysPage
from ripenroom.window.paper.output import PaperDialog
from ripenroom.window.session import Session
from tests.window.planned import planned


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> MarketDaysPage:
    made = MarketDaysPage(session)
    qtbot.addWidget(made)
    made.resize(1024, 700)
    made.show()
    made.view.setFocus()
    return made


def open_form(page: MarketDaysPage) -> MarketDayDialog:
    form = page.findChild(MarketDayDialog)
    assert form is not None
    assert form.isVisible()
    return form


def test_the_next_market_day_is_selected_first(page: MarketDaysPage) -> None:
    chosen = page.chosen()
    assert chosen is page.model.rows[0]


def test_insert_adds(page: MarketDaysPage) -> None:
    QTest.keyClick(page.view, Qt.Key.Key_Insert)
    form = open_form(page)
    form.name.setText("Harbour stall")
    form.action_button.click()
    assert "Harbour stall" in {line.day.name for line in page.model.rows}


def test_enter_changes_the_selected_one(page: MarketDaysPage) -> None:
    QTest.keyClick(page.view, Qt.Key.Key_Down)
    chosen = page.chosen()
    QTest.keyClick(page.view, Qt.Key.Key_Return)
    form = open_form(page)
    assert chosen is page.model.rows[1]
    assert form.name.text() == chosen.day.name
    form.note.setText("bring scales")
    form.action_button.click()
    after = page.chosen()
    assert after is not None
    assert (after.day.id, after.day.note) == (chosen.day.id, "bring scales")


def test_delete_deletes_says_so_and_undo_brings_it_back(qtbot: QtBot, page: MarketDaysPage) -> None:
    chosen = page.chosen()
    assert chosen is not None
    with qtbot.waitSignal(page.session.said) as said:
        QTest.keyClick(page.view, Qt.Key.Key_Delete)
    assert said.args is not None
    assert chosen.day.name in said.args[0]
    assert page.model.row_of(chosen.day.id) is None
    assert page.chosen() is page.model.rows[0]
    page.session.season.undo()
    assert page.model.row_of(chosen.day.id) == 0


def test_a_day_on_which_fruit_was_sold_is_not_deleted(qtbot: QtBot, page: MarketDaysPage) -> None:
    sold = next(
        line for line in page.model.rows if any(want.sale and want.sale.sold for want in line.wants)
    )
    page.show_record(sold.day.id)
    with qtbot.waitSignal(page.session.refused):
        page.delete_button.click()
    assert page.model.row_of(sold.day.id) is not None


def test_another_page_can_point_to_a_day(page: MarketDaysPage) -> None:
    last = page.model.rows[-1]
    page.show_record(last.day.id)
    assert page.chosen() is last
    page.show_record("no such day")
    assert page.chosen() is last


def test_buttons_do_what_the_keys_do(page: MarketDaysPage) -> None:
    page.change_button.click()
    assert open_form(page).windowTitle() == "Edit market day"


def test_without_market_days_the_page_says_what_to_do(page: MarketDaysPage) -> None:
    season = page.session.season
    sold = {removal.batch_id for removal in season.book.removals.values()}
    season.do(actions.batches.delete, sorted(sold))
    for day_id in list(season.book.market_days):
        season.do(actions.ahead.delete_market_day, day_id)
    assert page.nothing.isVisible()
    assert not page.view.isVisible()
    assert not page.change_button.isEnabled()
    page.add_button.click()
    assert open_form(page).windowTitle() == "Add a market day"


def test_a_read_only_season_offers_no_change(
    qtbot: QtBot, season_path: Path, settings: QSettings
) -> None:
    shown = Session(Season.open(season_path, read_only=True), settings)
    page = MarketDaysPage(shown)
    qtbot.addWidget(page)
    page.show()
    assert not page.add_button.isEnabled()
    QTest.keyClick(page.view, Qt.Key.Key_Insert)
    assert page.findChild(MarketDayDialog) is None
    shown.close()


def test_the_form_opens_on_today(page: MarketDaysPage) -> None:
    page.add_button.click()
    assert open_form(page).on.day() == page.session.season.now().date()


def test_bars_are_explained_only_where_there_is_room_for_bars(
    qtbot: QtBot, page: MarketDaysPage
) -> None:
    page.resize(1200, 700)
    qtbot.waitUntil(page.key.isVisible)
    page.resize(500, 700)
    qtbot.waitUntil(lambda: not page.key.isVisible())


def test_a_day_that_is_over_is_settled_by_its_key_and_one_ahead_is_not(
    page: MarketDaysPage, session: Session
) -> None:
    QTest.keyClick(page.view, Qt.Key.Key_A)
    assert page.findChild(SettleDialog) is None
    assert not page.settle_button.isEnabled()
    assert "still to come" in page.settle_button.toolTip()
    over = next(line.day for line in page.model.rows if line.over)
    page.show_record(over.id)
    assert page.settle_button.isEnabled()
    QTest.keyClick(page.view, Qt.Key.Key_A)
    form = page.findChild(SettleDialog)
    assert form is not None
    assert form.isVisible()
    assert over.name in form.windowTitle()
    form.close()


def test_second_grade_is_reached_by_its_key(page: MarketDaysPage) -> None:
    QTest.keyClick(page.view, Qt.Key.Key_G)
    form = page.findChild(SecondGradeDialog)
    assert form is not None
    assert form.isVisible()
    form.close()


def test_changing_a_settled_day_leaves_it_settled(page: MarketDaysPage, session: Session) -> None:
    over = next(line.day for line in page.model.rows if line.over)
    page.show_record(over.id)
    QTest.keyClick(page.view, Qt.Key.Key_Return)
    form = open_form(page)
    form.note.setText("rained all morning")
    form.action_button.click()
    after = session.season.book.market_days[over.id]
    assert (after.note, after.settled_at) == ("rained all morning", over.settled_at)
    assert over.settled_at is not None


def test_p_prints_the_packing_list_of_a_day_ahead_once_there_is_a_plan(
    qtbot: QtBot, page: MarketDaysPage
) -> None:
    ahead = next(line for line in page.model.rows if line.day.starts_at > page.session.season.now())
    page.show_record(ahead.day.id)
    assert not page.packing_button.isEnabled()
    assert "F5" in page.packing_button.toolTip()
    QTest.keyClick(page.view, Qt.Key.Key_P)
    assert page.findChild(PaperDialog) is None
    planned(qtbot, page.session)
    qtbot.waitUntil(page.packing_button.isEnabled)
    QTest.keyClick(page.view, Qt.Key.Key_P)
    dialog = page.findChild(PaperDialog)
    assert dialog is not None
    assert ahead.day.name in dialog.windowTitle()


def test_there_is_no_packing_list_of_a_day_that_has_begun(
    qtbot: QtBot, page: MarketDaysPage
) -> None:
    planned(qtbot, page.session)
    over = next(line for line in page.model.rows if line.day.starts_at <= page.session.season.now())
    page.show_record(over.day.id)
    assert not page.packing_button.isEnabled()
    assert "begun" in page.packing_button.toolTip()

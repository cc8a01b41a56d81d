"""The page "Today" by keyboard and mouse."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt, QUrl
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.window.session import Session
from ripenroom.window.today.page import TodayPage


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> TodayPage:
    made = TodayPage(session)
    qtbot.addWidget(made)
    made.resize(1024, 700)
    made.show()
    return made


def test_the_page_begins_with_the_date(page: TodayPage) -> None:
    text = page.text.document().toPlainText()
    today = page.session.season.now().date()
    assert str(today.year) in text.splitlines()[1]
    assert page.session.season.book.season.name == text.splitlines()[0]


def test_tab_and_enter_follow_the_first_sentence(qtbot: QtBot, page: TodayPage) -> None:
    page.text.setFocus()
    with qtbot.waitSignal(page.openBatch) as opened:
        QTest.keyClick(page.text, Qt.Key.Key_Tab)
        QTest.keyClick(page.text, Qt.Key.Key_Return)
    assert opened.args is not None
    assert opened.args[0] in page.session.season.book.batches


@pytest.mark.parametrize(
    ("link", "expected"),
    [
        ("market:m1", ["market_days", "m1"]),
        ("market:", ["market_days", None]),
        ("place:p1", ["places", "p1"]),
        ("picks:", ["picks", None]),
        ("queue:", ["queue", None]),
    ],
)
def test_links_lead_to_their_page(
    qtbot: QtBot, page: TodayPage, link: str, expected: list[str | None]
) -> None:
    with qtbot.waitSignal(page.goTo) as gone:
        page.text.anchorClicked.emit(QUrl(link))
    assert gone.args == expected


def test_the_button_leads_to_the_pick_form(qtbot: QtBot, page: TodayPage) -> None:
    with qtbot.waitSignal(page.goTo) as gone:
        QTest.keyClick(page.pick_button, Qt.Key.Key_Space)
    assert gone.args == ["picks", None]


def test_a_change_is_on_the_page_at_once_and_reading_goes_on(qtbot: QtBot, page: TodayPage) -> None:
    page.resize(700, 400)
    bar = page.text.verticalScrollBar()
    bar.setValue(60)
    season = page.session.season
    place = next(iter(season.book.places.values()))

    season.save_place(replace(place, name="Walk-in cooler"))
    assert "Walk-in cooler" in page.text.document().toPlainText()
    assert bar.value() == 60


def test_narrow_pages_have_one_column_and_nothing_is_cut(page: TodayPage) -> None:
    def tables_side_by_side() -> bool:
        return page.text.document().toHtml().count('width="54%"') > 0

    page.resize(1300, 700)
    assert tables_side_by_side()
    page.resize(640, 700)
    assert not tables_side_by_side()
    assert page.text.document().size().width() <= page.text.viewport().width() + 1

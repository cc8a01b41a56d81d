"""The day page as rich text: safe, printable, in one column or two."""

from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtGui import QTextDocument

from ripenroom.window.inks import DARK, LIGHT
from ripenroom.window.session import Session
from ripenroom.window.today.content import DayPage, Group, Item, day_page
from ripenroom.window.today.html import page_html

EMPTY = DayPage(date(2026, 8, 1), "New farm", 0, (), (), None, ())


def text_of(html: str) -> str:
    document = QTextDocument()
    document.setHtml(html)
    return document.toPlainText()


def shown(page: DayPage, session: Session, two_columns: bool = False) -> str:
    return page_html(page, session.words, LIGHT, 12.0, two_columns)


@pytest.mark.parametrize("two_columns", [False, True])
def test_everything_is_on_the_page(session: Session, two_columns: bool) -> None:
    page = day_page(session)
    text = text_of(shown(page, session, two_columns))
    for group in page.groups:
        assert group.title in text
        assert all(item.headline in text and item.reason in text for item in group.items)
    assert page.market is not None
    assert page.market.title in text
    assert all(place.name in text and place.holds in text for place in page.places)


def test_what_is_to_be_done_has_a_box_to_tick(session: Session) -> None:
    item = Item("Pull P-1 today", "Cold room", "batch:1")
    page = replace(EMPTY, batches=1, groups=(Group("Today", (item,), True),))
    assert "☐" in text_of(shown(page, session))
    to_know = replace(page, groups=(Group("Good to know", (item,), False),))
    assert "☐" not in text_of(shown(to_know, session))


def test_names_with_marks_in_them_stay_names(session: Session) -> None:
    nasty = '<b>Bob\'s</b> & "Co"'
    item = Item(nasty, nasty, "batch:1")
    page = replace(EMPTY, batches=1, season_name=nasty, groups=(Group(nasty, (item,), True),))
    assert text_of(shown(page, session)).count(nasty) == 4


def test_an_empty_season_says_what_to_do_next(session: Session) -> None:
    html = shown(EMPTY, session)
    assert "Write down the first pick" in text_of(html)
    for link in ("picks:", "market:", "place:"):
        assert f"href='{link}'" in html


def test_a_quiet_day_says_so(session: Session) -> None:
    assert "Nothing presses today" in text_of(shown(replace(EMPTY, batches=3), session))


def test_dark_pages_are_written_in_dark_inks(session: Session) -> None:
    html = page_html(EMPTY, session.words, DARK, 12.0, False)
    assert DARK.text.name() in html
    assert LIGHT.text.name() not in html


def test_a_date_that_ends_in_a_full_stop_gets_no_second_one(session: Session) -> None:
    items = (
        Item("Sell by 3 Okt.", "Past since 1 Okt.", "batch:1"),
        Item("Sell", "Soft", "batch:2"),
    )
    page = replace(EMPTY, batches=1, groups=(Group("Today", items, True),))
    text = text_of(shown(page, session))
    assert "Sell by 3 Okt. Past since 1 Okt." in text
    assert ".." not in text
    assert "Sell. Soft." in text

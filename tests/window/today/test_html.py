"""The day page as rich text: safe, printable, in one column or two."""

from dataclasses import replace
from datetime import date

from PySide6.QtGui import QTextDocument

from ripenroom.season.day_sheet import DayTask, DayTaskKind
from ripenroom.window.palette import DARK, LIGHT
from ripenroom.window.session import Session
from ripenroom.window.today.rich_text import outlook_html, page_html, tasks_html
from ripenroom.wording.formats import Formats
from ripenroom.wording.today.items import Item, ItemGroup
from ripenroom.wording.today.page import DayPage, day_page

EMPTY = DayPage(date(2026, 8, 1), "New farm", 0, (), "", (), 0, (), (), None, ())


def text_of(html: str) -> str:
    document = QTextDocument()
    document.setHtml(html)
    return document.toPlainText()


def shown(page: DayPage, session: Session) -> str:
    return page_html(page, session.words, LIGHT, 12.0)


def test_everything_is_on_the_page(session: Session) -> None:
    page = day_page(session)
    text = text_of(shown(page, session))
    for group in page.groups:
        assert group.title in text
        assert all(item.headline in text and item.reason in text for item in group.items)
    assert page.market is not None
    assert page.market.title in text
    assert all(place.name in text and place.holds in text for place in page.places)


def test_what_is_to_be_done_has_a_box_to_tick(session: Session) -> None:
    item = Item("Pull P-1 today", "Cold room", "batch:1")
    page = replace(EMPTY, batches=1, groups=(ItemGroup("Today", (item,), True),))
    assert "☐" in text_of(shown(page, session))
    to_know = replace(page, groups=(ItemGroup("Good to know", (item,), False),))
    assert "☐" not in text_of(shown(to_know, session))


def test_the_day_sheet_has_empty_boxes_for_what_is_open(session: Session) -> None:
    move = Item("Move 1 crate of P-1", "By 18:00", "batch:1")
    moved = Item("9 pawpaws, soft: P-2 moved to Shelf", "Done at 09:00", "batch:2")
    move = replace(move, under="To Cold room: 1 crate")
    sheet = (
        (DayTask(DayTaskKind.MOVE, "1"), move),
        (DayTask(DayTaskKind.MOVE, "2", done_record_id="m"), moved),
    )
    text = text_of(shown(replace(EMPTY, batches=2, sheet=sheet), session))
    assert (
        text.index("Move, in this order\n")
        < text.index("To Cold room: 1 crate\n")
        < text.index("☐")
        < text.index("Move 1 crate of P-1. By 18:00.")
    )
    assert text.index("☑") < text.index("9 pawpaws, soft: P-2 moved to Shelf. Done at 09:00.")


def test_what_stays_is_on_paper_by_place_and_without_boxes(session: Session) -> None:
    item = Item("1 crate of P-1", "Will never ripen: clear it when you like", "batch:1")
    stays = (ItemGroup("Cold room", (item,), to_do=False),)
    text = text_of(shown(replace(EMPTY, batches=1, stays=stays, crates_staying=1), session))
    assert text.index("What stays, and why") < text.index("Cold room") < text.index(item.headline)
    assert f"{item.headline}. {item.reason}." in text
    assert "☐" not in text
    assert "What stays" not in text_of(shown(replace(EMPTY, batches=1), session))


def test_an_empty_day_sheet_says_why(session: Session) -> None:
    page = replace(EMPTY, batches=2, no_tasks="The plan has nothing for you to do today.")
    assert "The plan has nothing for you to do today." in text_of(shown(page, session))


def test_on_the_screen_the_sheet_has_widgets_and_the_rest_is_in_two_parts(
    session: Session,
) -> None:
    sheet = ((DayTask(DayTaskKind.MOVE, "1"), Item("Move P-1", "", "batch:1")),)
    page = replace(day_page(session), sheet=sheet)
    tasks = text_of(tasks_html(page, session.words, LIGHT, 12.0))
    outlook = text_of(outlook_html(page, session.words, LIGHT, 12.0))
    assert "Move P-1" not in tasks + outlook
    assert "☐" not in tasks + outlook
    assert page.market is not None
    assert page.market.title in outlook
    assert all(place.name in tasks for place in page.places)


def test_names_with_marks_in_them_stay_names(session: Session) -> None:
    nasty = '<b>Bob\'s</b> & "Co"'
    item = Item(nasty, nasty, "batch:1")
    page = replace(EMPTY, batches=1, season_name=nasty, groups=(ItemGroup(nasty, (item,), True),))
    assert text_of(shown(page, session)).count(nasty) == 4


def test_an_empty_season_says_what_to_do_next(session: Session) -> None:
    html = shown(EMPTY, session)
    assert "Enter the first pick" in text_of(html)
    for link in ("picks:", "market:", "place:"):
        assert f"href='{link}'" in html


def test_a_quiet_day_says_so(session: Session) -> None:
    assert "Nothing else is urgent today" in text_of(shown(replace(EMPTY, batches=3), session))


def test_dark_pages_are_written_in_dark_inks(session: Session) -> None:
    html = page_html(EMPTY, session.words, DARK, 12.0)
    assert DARK.text.name() in html
    assert LIGHT.text.name() not in html


def test_a_date_that_ends_in_a_full_stop_gets_no_second_one(session: Session) -> None:
    items = (
        Item("Sell by 3 Okt.", "Past since 1 Okt.", "batch:1"),
        Item("Sell", "Soft", "batch:2"),
    )
    page = replace(EMPTY, batches=1, groups=(ItemGroup("Today", items, True),))
    text = text_of(shown(page, session))
    assert "Sell by 3 Okt. Past since 1 Okt." in text
    assert ".." not in text
    assert "Sell. Soft." in text


def test_no_line_ends_within_a_date(session: Session) -> None:
    words = session.words
    day = words.day(date(2026, 12, 2))
    said = words.unbroken(f"For the market, {day}: 88 % ready, 5 crates")
    assert day.replace(" ", "\u00a0") in said
    assert "88\u00a0% ready, 5 crates" in said
    american = Formats("en_US", words.season, words.zone)
    assert american.unbroken("on Wed, Dec 2 at once") == "on Wed,\u00a0Dec\u00a02 at once"
    assert american.unbroken("May I keep 30 of them") == "May I keep 30 of them"

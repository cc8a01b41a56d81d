"""Expected picks: listed, added, changed and deleted."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QDate, QSettings, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.ahead import ExpectedPick
from ripenroom.season.living import LivingSeason
from ripenroom.window.picks.expected_bar import ExpectedBar
from ripenroom.window.picks.expected_dialog import ExpectedPicksDialog
from ripenroom.window.picks.expected_words import (
    expected_line,
    expected_picks,
    what_is_expected,
)
from ripenroom.window.picks.page import PicksPage
from ripenroom.window.record_forms.expected_form import ExpectedPickDialog
from ripenroom.window.session import Session

TODAY = date(2026, 10, 1)


@pytest.fixture
def listed(qtbot: QtBot, session: Session) -> ExpectedPicksDialog:
    made = ExpectedPicksDialog(session)
    qtbot.addWidget(made)
    made.show()
    return made


def form(qtbot: QtBot, session: Session, pick_id: str | None = None) -> ExpectedPickDialog:
    made = ExpectedPickDialog(session, pick_id)
    qtbot.addWidget(made)
    made.show()
    return made


def picks(session: Session) -> list[ExpectedPick]:
    return expected_picks(session)


def texts(listed: ExpectedPicksDialog) -> list[str]:
    return [listed.picks.list.item(n).text() for n in range(listed.picks.list.count())]


def test_a_pick_is_expected_from_the_form(qtbot: QtBot, session: Session) -> None:
    made = form(qtbot, session)
    assert made.count.hasFocus() or made.focusWidget() is made.count
    assert made.on.date() == QDate(2026, 10, 2)
    made.crop.choose(("pear", None))
    made.count.setText("120")
    made.on.setDate(QDate(2026, 10, 12))
    made.feel.choose("hard")
    made.note.setText("if it stays dry")
    made.action_button.click()
    assert not made.isVisible()
    (new,) = (p for p in picks(session) if p.note == "if it stays dry")
    assert replace(new, id="", place_id="") == ExpectedPick(
        id="",
        crop="pear",
        on=date(2026, 10, 12),
        count=120,
        place_id="",
        feel="hard",
        note="if it stays dry",
    )
    assert session.season.undo_label == "expected pick of 120 pear"


def test_the_form_shows_a_pick_as_it_is_and_changes_what_is_changed(
    qtbot: QtBot, session: Session
) -> None:
    old = picks(session)[0]
    made = form(qtbot, session, old.id)
    made.action_button.click()
    assert session.season.book.expected_picks[old.id] == old
    made = form(qtbot, session, old.id)
    made.count.setText("75")
    made.action_button.click()
    assert session.season.book.expected_picks[old.id] == replace(old, count=75)


@pytest.mark.parametrize(
    ("count", "day", "field", "word"),
    [
        ("lots", 5, "count", "lots"),
        ("", 5, "count", "whole number"),
        ("0", 5, "count", "1 to"),
        ("9", -1, "on", "day ahead"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    qtbot: QtBot, session: Session, count: str, day: int, field: str, word: str
) -> None:
    made = form(qtbot, session)
    before = session.season.book
    made.count.setText(count)
    on = TODAY + timedelta(days=day)
    made.on.setDate(QDate(on.year, on.month, on.day))
    made.action_button.click()
    assert made.isVisible()
    assert word in made.board.fields[field].note.text
    assert session.season.book is before


def test_feels_are_those_of_the_crop_and_none_where_only_dates_are_known(
    qtbot: QtBot, session: Session
) -> None:
    made = form(qtbot, session)
    crops = session.season.crops
    coloured = next(key for key, crop in crops.items() if crop.judged_by == "colour")
    made.crop.choose((coloured, None))
    shown = tuple(made.feel.itemText(n) for n in range(made.feel.count()))
    assert shown == crops[coloured].feel.names
    dated = next(key for key, crop in crops.items() if crop.judged_by == "nothing")
    made.crop.choose((dated, None))
    assert not made.feel.isVisible()
    made.count.setText("5")
    made.action_button.click()
    (new,) = (p for p in picks(session) if p.crop == dated)
    said = what_is_expected(new, session)
    assert said.endswith(session.words.day(new.on))


def test_a_pick_of_a_crop_that_is_unknown_now_asks_for_another(
    qtbot: QtBot, session: Session
) -> None:
    old = picks(session)[0]
    gone = replace(old, crop="moonfruit", cultivar_id=None)
    session.season._book = session.season.book.with_changes([gone])  # as another program wrote it
    assert "moonfruit" in expected_line(gone, session)
    made = form(qtbot, session, gone.id)
    made.action_button.click()
    assert made.isVisible()
    assert made.board.fields["crop"].note.text


def test_the_list_says_what_when_where_and_is_deleted_from(
    listed: ExpectedPicksDialog, session: Session
) -> None:
    first = picks(session)[0]
    assert texts(listed) == [expected_line(pick, session) for pick in picks(session)]
    assert "60 Late pawpaws on Sun 4 Oct, slight give · Cold room" in texts(listed)[0]
    listed.picks.list.setCurrentRow(0)
    listed.picks.delete_button.click()
    assert first.id not in session.season.book.expected_picks
    assert len(texts(listed)) == 2
    session.season.undo()
    assert len(texts(listed)) == 3


def test_what_was_picked_meanwhile_is_no_longer_expected(session: Session) -> None:
    first = picks(session)[0]
    late = session.season.now() + timedelta(days=5)
    session.season.read_as_on(late)
    assert "no longer expected" in expected_line(first, session)
    assert "no longer expected" not in expected_line(picks(session)[-1], session)


def test_without_expected_picks_it_says_what_they_are_for(
    listed: ExpectedPicksDialog, session: Session
) -> None:
    for pick in picks(session):
        session.season.plans.delete_expected_pick(pick.id)
    assert not listed.picks.list.isVisible()
    assert not listed.picks.delete_button.isEnabled()


def test_a_season_that_is_only_read_changes_none(
    qtbot: QtBot, season_path: Path, settings: QSettings
) -> None:
    reading = Session(LivingSeason.open(season_path, read_only=True), settings)
    made = ExpectedPicksDialog(reading)
    qtbot.addWidget(made)
    made.show()
    assert not made.picks.isEnabled()
    reading.close()


# On the page


def test_the_line_names_the_next_two_and_counts_the_others(qtbot: QtBot, session: Session) -> None:
    bar = ExpectedBar(session)
    qtbot.addWidget(bar)
    bar.refresh()
    first, second, _ = (what_is_expected(pick, session) for pick in picks(session))
    assert bar.text.text() == f"Expected: {first}; {second}; and 1 more"
    for pick in picks(session):
        session.season.plans.delete_expected_pick(pick.id)
    bar.refresh()
    assert bar.text.text() == "No further pick is expected."


def test_the_page_opens_the_list_by_its_key(qtbot: QtBot, session: Session) -> None:
    page = PicksPage(session)
    qtbot.addWidget(page)
    page.resize(1200, 800)
    page.show()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    assert picks(session)[0].cultivar_id is not None
    seen: list[str] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, ExpectedPicksDialog):
            seen.extend(texts(dialog))
            dialog.close()

    timer = QTimer(page)
    timer.timeout.connect(look)
    timer.start(30)
    QTest.keyClick(page.form.fields.counts_line, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: bool(seen))
    assert len(seen) == 3

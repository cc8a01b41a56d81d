"""Expected picks: listed, added, changed and deleted."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.file import SeasonFile
from ripenroom.records.market import ExpectedPick
from ripenroom.season import actions
from ripenroom.season.plans.plan import roughly
from ripenroom.season.season import Season
from ripenroom.window.forms.expected_pick import ExpectedPickDialog
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.picks.page import ExpectedLine, PicksPage
from ripenroom.window.session import Session
from ripenroom.wording.plan.expected_picks import (
    expected_line,
    expected_picks,
    likely_ahead,
    likely_line,
    what_is_expected,
)

TODAY = date(2026, 10, 1)


@pytest.fixture(autouse=True)
def unwalked(season_path: Path) -> None:
    """Rows that nobody walked make no pick likely: here that is by the last picks alone."""
    file = SeasonFile.open(season_path)
    file.write("unwalked", (), list(file.read().walks.values()))
    file.close()


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
    assert made.on.day() == date(2026, 10, 2)
    made.crop.choose(("pear", None))
    made.count.setText("120")
    made.on.set_day(date(2026, 10, 12))
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
        ("1000000", 5, "count", "0 to"),
        ("9", -1, "on", "for today or later"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    qtbot: QtBot, session: Session, count: str, day: int, field: str, word: str
) -> None:
    made = form(qtbot, session)
    before = session.season.book
    made.count.setText(count)
    on = TODAY + timedelta(days=day)
    made.on.set_day(on)
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
    assert texts(listed)[:3] == [expected_line(pick, session) for pick in picks(session)]
    more = len(texts(listed)) - 3  # of avocados nobody said what comes: more are likely
    assert "60 Late pawpaws on Sun 4 Oct, slight give · Cold room" in texts(listed)[0]
    listed.picks.list.setCurrentRow(0)
    listed.picks.delete_button.click()
    assert first.id not in session.season.book.expected_picks
    assert texts(listed)[:2] == [expected_line(pick, session) for pick in picks(session)]
    assert "likely" in texts(listed)[2]
    session.season.undo()
    assert len(texts(listed)) == 3 + more


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
        session.season.do(actions.ahead.delete_expected_pick, pick.id)
    session.season.read_as_on(session.season.now() + timedelta(days=60))
    listed.refresh()
    assert not listed.picks.list.isVisible()
    assert not listed.picks.delete_button.isEnabled()
    assert not listed.end_button.isVisible()


def test_a_season_that_is_only_read_changes_none(
    qtbot: QtBot, season_path: Path, settings: QSettings
) -> None:
    reading = Session(Season.open(season_path, read_only=True), settings)
    made = ExpectedPicksDialog(reading)
    qtbot.addWidget(made)
    made.show()
    assert not made.picks.isEnabled()
    reading.close()


# On the page


def test_the_line_names_the_next_two_and_counts_the_others(qtbot: QtBot, session: Session) -> None:
    bar = ExpectedLine(session)
    qtbot.addWidget(bar)
    bar.refresh()
    first, second, _ = (what_is_expected(pick, session) for pick in picks(session))
    assert bar.text().startswith(f"Expected: {first}; {second}; and 1 more. Likely to come: about ")
    for pick in picks(session):
        session.season.do(actions.ahead.delete_expected_pick, pick.id)
    bar.refresh()
    assert bar.text().startswith("Likely to come: about ")
    session.season.read_as_on(session.season.now() + timedelta(days=60))
    bar.refresh()
    assert bar.text() == "No further pick is expected."


# Picks that are only likely


@pytest.fixture
def likely(listed: ExpectedPicksDialog, session: Session) -> list[ExpectedPick]:
    """What the last days make likely of pawpaws once the grower has said nothing."""
    for pick in picks(session):
        session.season.do(actions.ahead.delete_expected_pick, pick.id)
    found = likely_now(session)
    assert len(found) > 2
    return found


def likely_now(session: Session) -> list[ExpectedPick]:
    """What is likely of pawpaws."""
    return [pick for pick in session.season.ask.likely_picks() if pick.crop == "pawpaw"]


def line_of(pick: ExpectedPick, session: Session) -> str:
    """The line of the list for a likely pick."""
    (own,) = (one for one in likely_ahead(session) if one.pick == pick)
    return likely_line(own, session)


def choose(listed: ExpectedPicksDialog, row: int) -> None:
    listed.picks.list.setFocus()
    listed.picks.list.setCurrentRow(row)


def test_likely_picks_stand_below_the_others_and_look_it(
    listed: ExpectedPicksDialog, session: Session
) -> None:
    first = picks(session)[0]
    for pick in picks(session)[1:]:
        session.season.do(actions.ahead.delete_expected_pick, pick.id)
    session.season.do(
        actions.ahead.save_expected_pick, replace(first, on=TODAY + timedelta(days=1))
    )
    found = likely_ahead(session)
    own, *others = texts(listed)
    assert others == [likely_line(one, session) for one in found]
    assert "likely" in others[0]
    assert "likely" not in own
    italic = [listed.picks.list.item(n).font().italic() for n in range(len(texts(listed)))]
    assert italic == [False, *(True for _ in found)]
    choose(listed, 0)
    assert not listed.end_button.isEnabled()
    assert listed.picks.delete_button.isEnabled()
    choose(listed, 1)
    assert listed.end_button.isEnabled()
    assert not listed.picks.delete_button.isEnabled()


def test_an_own_number_takes_the_place_of_a_likely_one_by_keyboard_alone(
    qtbot: QtBot, listed: ExpectedPicksDialog, session: Session, likely: list[ExpectedPick]
) -> None:
    second = likely[1]
    seen: list[str] = []

    def type_it() -> None:
        made = QApplication.activeModalWidget()
        if isinstance(made, ExpectedPickDialog) and not seen:
            seen.append(made.count.text())
            assert made.on.day() == second.on
            assert made.crop.value() == (second.crop, None)
            assert made.place.value() == second.place_id
            QTest.keyClicks(made.count, "17")  # what is there is selected, and written over
            QTest.keyClick(made.count, Qt.Key.Key_Return)

    timer = QTimer(listed)
    timer.timeout.connect(type_it)
    timer.start(20)
    choose(listed, texts(listed).index(line_of(second, session)))
    QTest.keyClick(listed.picks.list, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bool(picks(session)))
    timer.stop()
    assert seen == [str(roughly(second.count))]
    kept, own = picks(session)
    assert (own.crop, own.on, own.count) == (second.crop, second.on, 17)
    first = likely[0]  # the one before it is kept, as the tick says that nobody took away
    assert replace(kept, id=first.id) == replace(first, count=roughly(first.count))
    same_crop = [pick for pick in likely if pick.crop == own.crop and pick.on > own.on]
    assert [p for p in likely_now(session) if p.crop == own.crop] == same_crop
    session.season.undo()  # one step
    assert picks(session) == []
    assert likely_now(session) == likely


def test_before_it_is_added_it_is_said_which_likely_picks_end(
    qtbot: QtBot, session: Session, likely: list[ExpectedPick]
) -> None:
    first, second, third = likely[:3]
    made = ExpectedPickDialog(session, None, start=replace(third, count=40))
    qtbot.addWidget(made)
    made.show()
    ends, words = made.keep_likely, session.words
    assert ends.isVisible()
    assert ends.keep.isChecked()
    assert ends.text.text() == (
        "Likely picks before this one would no longer count: "
        f"about {roughly(first.count)} pawpaw on {words.day(first.on)}, "
        f"about {roughly(second.count)} on {words.day(second.on)}."
    )
    made.count.setText("0")  # that nothing more comes takes away none before it
    assert not ends.isVisible()
    made.count.setText("40")
    made.crop.choose(("pear", None))
    assert not ends.isVisible()
    made.crop.choose(("pawpaw", None))
    made.on.set_day(first.on)
    assert not ends.isVisible()
    made.on.set_day(third.on)
    assert ends.isVisible()
    ends.keep.setChecked(False)
    made.action_button.click()
    (own,) = picks(session)
    assert (own.on, own.count) == (third.on, 40)


@pytest.mark.parametrize("by_key", [False, True])
def test_nothing_more_comes_from_the_chosen_day_on(
    qtbot: QtBot,
    listed: ExpectedPicksDialog,
    session: Session,
    likely: list[ExpectedPick],
    by_key: bool,
) -> None:
    first = likely[0]
    row = texts(listed).index(line_of(first, session))
    choose(listed, row)
    if by_key:
        listed.activateWindow()
        qtbot.waitUntil(listed.isActiveWindow)
        QTest.keyClick(listed, Qt.Key.Key_N, Qt.KeyboardModifier.AltModifier)
    else:
        QTest.mouseClick(listed.end_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bool(picks(session)))  # the button is seen to go down first
    (end,) = picks(session)
    assert (end.crop, end.on, end.count, end.nothing_more) == (first.crop, first.on, 0, True)
    assert not [pick for pick in likely_now(session) if pick.crop == first.crop]
    assert "nothing more from" in texts(listed)[0]
    assert session.season.undo_label == f"no more to pick of {first.crop}"
    session.season.undo()
    assert likely_now(session) == likely


def test_said_of_an_earlier_day_it_stays_one_line(
    listed: ExpectedPicksDialog, session: Session, likely: list[ExpectedPick]
) -> None:
    pawpaws = [pick for pick in likely if pick.crop == likely[0].crop]
    for pick in (pawpaws[1], pawpaws[0]):
        choose(listed, texts(listed).index(line_of(pick, session)))
        listed.end_button.click()
    (end,) = picks(session)
    assert end.on == pawpaws[0].on


def test_the_form_takes_0_and_a_later_pick_shows_that_more_came(
    qtbot: QtBot, session: Session, likely: list[ExpectedPick]
) -> None:
    made = form(qtbot, session)
    made.crop.choose(("pawpaw", None))
    made.count.setText("0")
    made.on.set_day(TODAY)
    made.action_button.click()
    (end,) = picks(session)
    assert expected_line(end, session) == f"Pawpaw: nothing more from {session.words.day(TODAY)} on"
    newest = max(session.season.book.batches.values(), key=lambda batch: batch.picked_at)
    later = replace(
        newest, id="later", code="P-later", picked_at=session.season.now() + timedelta(days=1)
    )
    session.season._book = session.season.book.with_changes([replace(later, crop="pawpaw")])
    assert expected_line(end, session).endswith("more has been picked since")


@pytest.mark.parametrize(
    ("count", "said"), [(7, 7), (19, 19), (31, 30), (98, 100), (187, 190), (1_234, 1_200)]
)
def test_a_likely_number_is_a_round_one(count: int, said: int) -> None:
    assert roughly(count) == said


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
    assert seen[:3] == [expected_line(pick, session) for pick in picks(session)]

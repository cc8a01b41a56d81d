"""A check by hand or gauge: counted, refused, kept, and on to the next batch."""

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from ripenroom.records.entry import PickEntry
from ripenroom.season import actions
from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.picks.batch_table import Column, batch_lines
from ripenroom.window.session import Session


@pytest.fixture
def batch_id(session: Session) -> str:
    return session.season.worth_checking()[0]


@pytest.fixture
def dialog(qtbot: QtBot, session: Session, batch_id: str) -> CheckDialog:
    return shown(qtbot, CheckDialog(session, batch_id))


def shown(qtbot: QtBot, made: CheckDialog) -> CheckDialog:
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    made.counting.use(made.counting.kind)
    return made


def press(dialog: CheckDialog, keys: str) -> None:
    for key in keys:
        QTest.keyClicks(dialog.focusWidget() or dialog, key)


def test_keys_count_and_backspace_takes_back(
    qtbot: QtBot, dialog: CheckDialog, session: Session, batch_id: str
) -> None:
    before = set(session.season.book.checks)
    press(dialog, "2233312")
    assert dialog.counting.hand.counts() == (1, 3, 3, 0, 0)
    QTest.keyClick(dialog, Qt.Key.Key_Backspace)
    assert dialog.counting.hand.counts() == (1, 2, 3, 0, 0)
    dialog.counting.hand.minuses[0].click()
    assert dialog.counting.hand.counts() == (0, 2, 3, 0, 0)
    assert not dialog.counting.hand.minuses[0].isEnabled()
    assert "gives: 3" in dialog.counting.hand.taps[2].accessibleName()
    dialog.action_button.click()
    [made] = set(session.season.book.checks) - before
    check = session.season.book.checks[made]
    assert (check.batch_id, check.feel_counts) == (batch_id, (0, 2, 3, 0, 0))
    assert not dialog.isVisible()


def test_enter_after_counting_by_keys_saves_what_was_counted(
    dialog: CheckDialog, session: Session
) -> None:
    before = set(session.season.book.checks)
    press(dialog, "2232")
    focus = dialog.focusWidget()
    assert focus is not None
    QTest.keyClick(focus, Qt.Key.Key_Return)
    [made] = set(session.season.book.checks) - before
    assert session.season.book.checks[made].feel_counts == (0, 3, 1, 0, 0)
    assert not dialog.isVisible()


def test_space_counts_where_the_keyboard_is(dialog: CheckDialog) -> None:
    tap = dialog.counting.hand.taps[2]
    tap.setFocus()
    QTest.keyClick(tap, Qt.Key.Key_Space)
    assert dialog.counting.hand.counts() == (0, 0, 1, 0, 0)


def test_digits_go_into_a_note_while_it_is_typed(dialog: CheckDialog) -> None:
    dialog.note.setFocus()
    QTest.keyClicks(dialog.note, "crate 12")
    assert dialog.note.text() == "crate 12"
    assert dialog.counting.hand.counts() is None


def test_readings_one_after_the_other(dialog: CheckDialog, session: Session, batch_id: str) -> None:
    before = set(session.season.book.checks)
    dialog.counting.by_gauge.click()
    line = dialog.counting.gauge.input.line
    dialog.counting.gauge.input.probe.setText("8")
    for typed in ("11.5", "9"):
        QTest.keyClicks(line, typed)
        QTest.keyClick(line, Qt.Key.Key_Return)
    assert dialog.counting.gauge.number == 2
    assert dialog.isVisible()
    QTest.keyClick(line, Qt.Key.Key_Return)
    [made] = set(session.season.book.checks) - before
    check = session.season.book.checks[made]
    assert (check.readings, check.reading_unit, check.probe_mm) == ((11.5, 9.0), "N", 8.0)


def test_the_aim_follows_what_is_counted(dialog: CheckDialog) -> None:
    assert "Now it is give or take" in dialog.counting.aim.text()
    for _ in range(30):
        dialog.counting.hand.taps[1].click()
    assert "enough" in dialog.counting.aim.text()


def test_a_refusal_stays_beside_what_is_wrong_and_nothing_is_lost(
    dialog: CheckDialog, session: Session
) -> None:
    dialog.counting.hand.taps[1].click()
    dialog.when.set_moment(session.season.now() + timedelta(days=3))
    dialog.action_button.click()
    assert "still to come" in dialog.board.fields["at"].note.text
    assert dialog.isVisible()
    assert dialog.counting.hand.counts() == (0, 1, 0, 0, 0)


def test_nothing_counted_is_said_and_an_unreadable_reading_too(dialog: CheckDialog) -> None:
    dialog.action_button.click()
    note = dialog.board.fields["feel_counts"].note
    assert "No fruit counted yet" in note.text
    dialog.counting.by_gauge.click()
    dialog.counting.gauge.set_text("12 1x")
    dialog.action_button.click()
    assert "1x" in note.text
    assert dialog.isVisible()


def test_a_reading_in_another_unit_is_asked_about_and_taken_over(
    dialog: CheckDialog, session: Session
) -> None:
    before = set(session.season.book.checks)
    dialog.counting.by_gauge.click()
    dialog.counting.gauge.set_text("14 15")
    dialog.counting.gauge.input.unit_choice.choose("kgf")
    dialog.action_button.click()
    [offer] = [
        button
        for button in dialog.board.fields["readings"].note.findChildren(QPushButton)
        if button.text() == "Read it as N"
    ]
    offer.click()
    [made] = set(session.season.book.checks) - before
    assert session.season.book.checks[made].reading_unit == "N"


def test_a_check_that_contradicts_all_else_is_kept_when_one_insists(
    qtbot: QtBot, session: Session
) -> None:
    season = session.season
    hard = next(
        batch.id
        for batch in season.book.batches.values()
        if batch.code == "A-0930-1"  # hard, picked yesterday
    )
    before = set(season.book.checks)
    dialog = shown(qtbot, CheckDialog(session, hard))
    dialog.counting.by_hand.click()  # its crop was read by a gauge last
    for _ in range(9):
        dialog.counting.hand.taps[4].click()
    dialog.action_button.click()
    note = dialog.board.fields["surprise"].note
    assert "much softer" in note.text
    assert set(season.book.checks) == before
    [keep] = [b for b in note.findChildren(QPushButton) if b.text() == "Keep as typed"]
    keep.click()
    assert len(set(season.book.checks) - before) == 1
    assert not dialog.isVisible()


def test_on_to_the_next_batch_without_closing(
    dialog: CheckDialog, session: Session, batch_id: str
) -> None:
    before = set(session.season.book.checks)
    worth = session.season.worth_checking()
    code = session.season.book.batches[worth[1]].code
    assert code in dialog.next_button.text()
    dialog.next_button.click()  # nothing counted: only on
    assert (dialog.batch_id, set(session.season.book.checks)) == (worth[1], before)
    dialog.counting.hand.taps[2].click()
    dialog.next_button.click()
    [made] = set(session.season.book.checks) - before
    assert session.season.book.checks[made].batch_id == worth[1]
    assert dialog.isVisible()
    assert dialog.batch_id not in (batch_id, worth[1])
    assert dialog.counting.hand.counts() is None


def test_what_was_counted_is_there_again(
    qtbot: QtBot, dialog: CheckDialog, session: Session, batch_id: str
) -> None:
    press(dialog, "23")
    dialog.reject()
    again = shown(qtbot, CheckDialog(session, batch_id))
    assert again.counting.hand.counts() == (0, 1, 1, 0, 0)
    again.action_button.click()
    assert shown(qtbot, CheckDialog(session, batch_id)).counting.hand.counts() is None


def test_a_check_is_mended(qtbot: QtBot, dialog: CheckDialog, session: Session) -> None:
    dialog.counting.hand.taps[1].click()
    dialog.action_button.click()
    check = max(session.season.book.checks.values(), key=lambda c: c.at)
    session.season.do(actions.checks.count_in, check.id, False)
    mending = shown(qtbot, CheckDialog(session, check.batch_id, check.id))
    assert mending.counting.hand.counts() == (0, 1, 0, 0, 0)
    assert not mending.next_button.isVisible()
    mending.counting.hand.taps[0].click()
    mending.action_button.click()
    mended = session.season.book.checks[check.id]
    assert (mended.feel_counts, mended.counted, mended.at) == ((1, 1, 0, 0, 0), False, check.at)


def test_weighed_fruit_is_said_as_the_list_of_batches_says_it(
    qtbot: QtBot, session: Session
) -> None:
    season = session.season
    place_id = next(iter(season.book.places))
    entry = PickEntry(
        crop="pawpaw", place_id=place_id, picked_at=season.now(), weight_kg=6.35, feel_counts=None
    )
    (batch,) = season.do(actions.picks.add, entry)
    (line,) = (line for line in batch_lines(session) if line.batch_id == batch.id)
    assert line.texts[Column.LEFT] == "42"
    dialog = shown(qtbot, CheckDialog(session, batch.id))
    assert "42 left" in dialog._about.text()

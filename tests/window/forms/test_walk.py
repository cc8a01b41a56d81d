"""A squeeze walk tapped or typed, row after row; and a whole sheet typed in by keyboard alone."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.orchard import Walk
from ripenroom.window.forms.walk import WalkDialog, rows_to_walk
from ripenroom.window.forms.walk_sheet import WalkSheetDialog
from ripenroom.window.session import Session


def new_walks(session: Session) -> dict[str, Walk]:
    """Walks of the practice season's now, by the name of their row."""
    book = session.season.book
    at = session.season.now()
    return {book.rows[w.row_id].name: w for w in book.walks.values() if w.at == at}


@pytest.fixture
def form(qtbot: QtBot, session: Session) -> WalkDialog:
    made = WalkDialog(session, rows_to_walk(session)[0].id)
    qtbot.addWidget(made)
    made.show()
    return made


def test_taps_and_typed_counts_are_the_same(form: WalkDialog) -> None:
    for _ in range(4):
        form.hand.taps[0].click()
    form.hand.taps[2].click()
    assert form.counts.text() == "4 0 1 0 0"
    form.counts.clear()
    QTest.keyClicks(form.counts, "21 6 3 0")
    form.counts.editingFinished.emit()  # as when Tab is pressed
    assert form.hand.counts() == (21, 6, 3, 0, 0)


def test_what_cannot_be_read_is_said_beside_the_field(form: WalkDialog) -> None:
    form.counts.setText("many")
    form.action_button.click()
    assert form.isVisible()
    assert form.board.fields["feel_counts"].note.text
    form.counts.setText("")
    form.hand.set_counts(None)
    form.ground.setText("x")
    form.action_button.click()
    assert "whole number" in form.board.fields["on_ground"].note.text
    form.ground.setText("")
    form.action_button.click()
    assert "No fruit counted yet" in form.board.fields["feel_counts"].note.text


def test_it_goes_on_from_row_to_row(session: Session, form: WalkDialog) -> None:
    names = [row.name for row in rows_to_walk(session)]
    for name in names[:2]:
        assert form.row.currentText() == name
        form.counts.setText("10 5 1 0")
        form.next_button.click()
        assert name in form.done_words.text()
    assert form.isVisible()
    assert set(new_walks(session)) == set(names[:2])
    assert form.hand.counts() is None
    form.row.setCurrentIndex(len(names) - 1)
    assert not form.next_button.isEnabled()


def test_keys_count_while_nothing_is_typed(form: WalkDialog) -> None:
    form.activateWindow()
    QApplication.processEvents()
    for key, times in ((Qt.Key.Key_1, 3), (Qt.Key.Key_2, 2)):
        for _ in range(times):
            QTest.keyClick(form.hand.taps[0], key)
    assert form.hand.counts() == (3, 2, 0, 0, 0)


def test_digits_in_a_field_are_no_squeezes(qtbot: QtBot, form: WalkDialog) -> None:
    form.activateWindow()
    form.ground.setFocus()
    QApplication.processEvents()
    QTest.keyClicks(form.ground, "12")
    assert form.ground.text() == "12"
    assert form.hand.counts() is None


def test_a_walk_is_shown_to_be_corrected(qtbot: QtBot, session: Session) -> None:
    walk = max(session.season.book.walks.values(), key=lambda one: one.at)
    form = WalkDialog(session, None, walk.id)
    qtbot.addWidget(form)
    assert form.counts.text() == " ".join(map(str, walk.feel_counts or ()))
    assert form.note.text() == walk.note
    form.ground.setText("9")
    form.action_button.click()
    after = session.season.book.walks[walk.id]
    assert (after.on_ground, after.at, after.feel_counts) == (9, walk.at, walk.feel_counts)


@pytest.fixture
def sheet(qtbot: QtBot, session: Session) -> WalkSheetDialog:
    made = WalkSheetDialog(session)
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    QApplication.processEvents()
    return made


def test_a_sheet_is_typed_in_by_keyboard_alone(session: Session, sheet: WalkSheetDialog) -> None:
    """A minute for eight rows is some 8 keys a row: two digits and a Tab for three feels."""
    keys = 0
    names = [line.row.name for line in sheet.lines]
    for line in range(len(names)):
        for n, typed in enumerate(("21", "6", "3")):
            cell = QApplication.focusWidget()
            assert cell is sheet.lines[line].cells[n]
            QTest.keyClicks(cell, typed)
            QTest.keyClick(cell, Qt.Key.Key_Return if n == 2 else Qt.Key.Key_Tab)
            keys += len(typed) + 1
    assert keys <= 8 * len(names)
    assert QApplication.focusWidget() is sheet.action_button
    QTest.keyClick(sheet.action_button, Qt.Key.Key_Space)
    walks = new_walks(session)
    assert set(walks) == set(names)
    assert {walk.feel_counts for walk in walks.values()} == {(21, 6, 3, 0, 0)}
    session.season.undo()
    assert new_walks(session) == {}


def test_empty_lines_are_rows_that_nobody_walked(session: Session, sheet: WalkSheetDialog) -> None:
    sheet.lines[2].cells[0].setText("12")
    sheet.lines[4].cells[5].setText("3")
    sheet.lines[4].cells[6].setText("windfall")
    assert sheet.lines[2].total.text() == "= 12"
    assert sheet.sum.text() == "2 rows walked"
    sheet.action_button.click()
    walks = new_walks(session)
    assert set(walks) == {sheet.lines[2].row.name, sheet.lines[4].row.name}
    fallen = walks[sheet.lines[4].row.name]
    assert (fallen.feel_counts, fallen.on_ground, fallen.note) == (None, 3, "windfall")


@pytest.mark.parametrize(("column", "typed"), [(0, "x"), (1, "-3"), (5, "1.5")])
def test_a_wrong_cell_is_shown_in_its_line_and_nothing_is_saved(
    session: Session, sheet: WalkSheetDialog, column: int, typed: str
) -> None:
    sheet.lines[0].cells[0].setText("12")
    sheet.lines[3].cells[column].setText(typed)
    sheet.action_button.click()
    assert sheet.isVisible()
    assert new_walks(session) == {}
    assert sheet.lines[3].row.name in sheet.lines[3].note.text
    assert sheet.lines[3].cells[column].property("refused")
    sheet.lines[3].cells[column].setText("4")
    sheet.action_button.click()
    assert len(new_walks(session)) == 2


def test_a_line_with_only_a_note_is_refused_in_its_line(sheet: WalkSheetDialog) -> None:
    sheet.lines[1].cells[6].setText("nothing left")
    sheet.action_button.click()
    assert sheet.isVisible()
    assert "No fruit counted yet" in sheet.lines[1].note.text


def test_arrows_go_up_and_down(sheet: WalkSheetDialog) -> None:
    QTest.keyClick(sheet.lines[0].cells[3], Qt.Key.Key_Down)
    assert QApplication.focusWidget() is sheet.lines[1].cells[3]
    QTest.keyClick(sheet.lines[1].cells[3], Qt.Key.Key_Up)
    QTest.keyClick(sheet.lines[0].cells[3], Qt.Key.Key_Up)
    assert QApplication.focusWidget() is sheet.lines[0].cells[3]

"""What all dialogs with fields have in common."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Question, Refusal
from ripenroom.window.forms.batch_moves import MoveDialog
from ripenroom.window.forms.place import PlaceDialog
from ripenroom.window.forms.tree_row import RowDialog
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field, RefusalNote
from ripenroom.window.widgets.form_dialog import FormDialog, RefusalBoard


@pytest.mark.parametrize("which", ["row", "move", "place"])
def test_the_keyboard_is_in_the_first_field_and_enter_is_the_action(
    qtbot: QtBot, session: Session, which: str
) -> None:
    book = session.season.book
    makers: dict[str, Callable[[], FormDialog]] = {
        "row": lambda: RowDialog(session, None),
        "move": lambda: MoveDialog(session, [next(iter(book.batches))]),
        "place": lambda: PlaceDialog(session),
    }
    dialog = makers[which]()
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    focus = dialog.focusWidget()
    assert focus is not None
    assert not isinstance(focus, QPushButton)
    assert focus.mapTo(dialog, focus.rect().topLeft()).y() < dialog.height() // 2
    assert dialog.action_button.isDefault()


def test_enter_presses_the_button_that_has_the_keyboard(qtbot: QtBot, session: Session) -> None:
    dialog = MoveDialog(session, [next(iter(session.season.book.batches))])
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    before = session.season.book
    dialog.when.set_moment(session.season.now())
    dialog.when.now_button.setFocus()
    QTest.keyClick(dialog.when.now_button, Qt.Key.Key_Return)
    assert dialog.when.follows_now
    assert dialog.isVisible()
    dialog.cancel_button.setFocus()
    QTest.keyClick(dialog.cancel_button, Qt.Key.Key_Return)
    assert not dialog.isVisible()
    assert session.season.book is before


class Form:
    """A field, a note for the rest, and how often the form was handed in again."""

    def __init__(self, qtbot: QtBot) -> None:
        self.line = QLineEdit()
        self.field = Field("&Count", self.line)
        self.rest = RefusalNote()
        self.again = 0
        self.taken: list[object] = []
        qtbot.addWidget(self.field)
        qtbot.addWidget(self.rest)
        self.field.show()
        self.board = RefusalBoard({"count": self.field}, self.rest, self._again)
        self.board.offer("count", lambda value: f"Use {value}", self.taken.append)

    def _again(self) -> None:
        self.again += 1

    def buttons(self) -> list[QPushButton]:
        return [b for b in self.field.note.findChildren(QPushButton) if not b.isHidden()]


@pytest.fixture
def form(qtbot: QtBot) -> Form:
    return Form(qtbot)


def test_a_refusal_of_a_known_field_stands_beside_it(form: Form) -> None:
    form.board.show(Refusal("count", "{count} is too many.", count=9))
    assert form.field.note.text == "! 9 is too many."
    assert form.rest.isHidden()
    form.board.show(Refusal("weather", "It rains."))
    assert form.field.note.isHidden()
    assert form.rest.text == "! It rains."


def test_a_refusal_of_a_hidden_field_is_not_hidden_with_it(form: Form) -> None:
    form.field.hide()
    form.board.show(Refusal("count", "Too many."))
    assert form.rest.text == "! Too many."


def test_a_suggestion_is_taken_and_the_form_handed_in_again(form: Form) -> None:
    form.board.show(Question("count", "Is it 12?", suggestion=12))
    use, keep = form.buttons()
    assert (use.text(), keep.text()) == ("Use 12", "Keep as typed")
    use.click()
    assert form.taken == [12]
    assert form.again == 1
    assert form.board.answered == frozenset()


def test_what_is_kept_as_typed_is_not_offered_to_be_kept_twice(form: Form) -> None:
    form.board.show(Question("count", "Is it 12?", suggestion=12))
    form.buttons()[1].click()
    assert form.board.answered == {"count"}
    assert form.again == 1
    form.board.show(Question("count", "Is it 12?", suggestion=12))
    assert [button.text() for button in form.buttons()] == ["Use 12"]


def test_what_cannot_be_is_not_offered_to_be_kept(form: Form) -> None:
    form.board.show(Question("count", "Is it 12?", suggestion=12, possible=False))
    assert [button.text() for button in form.buttons()] == ["Use 12"]


def test_names_in_refusals_are_shown_as_they_were_typed(form: Form) -> None:
    form.board.show(Refusal("count", "{name} is taken.", name="<b>Row</b> & {x}"))
    assert form.field.note.text == "! <b>Row</b> & {x} is taken."

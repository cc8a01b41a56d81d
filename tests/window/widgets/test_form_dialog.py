"""What all dialogs with fields have in common."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from ripenroom.window.forms.batch_moves import MoveDialog
from ripenroom.window.forms.place import PlaceDialog
from ripenroom.window.forms.tree_row import RowDialog
from ripenroom.window.session import Session
from ripenroom.window.widgets.form_dialog import FormDialog


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

"""Dialogs take the room there is, and go when they are closed."""

import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QDialog, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.batch.panel import BatchDialog
from ripenroom.window.dialogs import ask, room_for
from ripenroom.window.forms.edit_pick import EditPickDialog
from ripenroom.window.forms.new_season import NewSeasonDialog
from ripenroom.window.forms.orchard import OrchardDialog
from ripenroom.window.help.dialog import HelpDialog
from ripenroom.window.main_window import MainWindow


def close_soon() -> None:
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, QDialog)
    dialog.accept()


def test_what_was_asked_is_answered_and_gone(qtbot: QtBot) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    dialog = QDialog(parent)
    QTimer.singleShot(0, close_soon)
    assert ask(dialog) == QDialog.DialogCode.Accepted
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert not shiboken6.isValid(dialog)


def test_a_batch_that_was_looked_at_is_not_drawn_for_ever(window: MainWindow) -> None:
    assert window.session is not None
    QTimer.singleShot(0, close_soon)
    window.open_batch(next(iter(window.session.season.book.batches)))
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert window.findChildren(BatchDialog) == []


def test_no_dialog_takes_the_screen_with_it(qtbot: QtBot, window: MainWindow) -> None:
    session = window.session
    assert session is not None
    batch_id = next(iter(session.season.book.batches))
    for dialog in (
        BatchDialog(session, batch_id, window),
        EditPickDialog(session, batch_id, window),
        OrchardDialog(session, window),
        NewSeasonDialog(window),
        HelpDialog("about", (), (), window),
    ):
        room = QGuiApplication.primaryScreen().availableSize()
        assert room_for(dialog) == room
        assert dialog.size().boundedTo(room) == dialog.size()
        # What has a parent in Python is deleted with it.
        assert "parent" not in shiboken6.dump(QGuiApplication.primaryScreen())

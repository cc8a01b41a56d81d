"""No dialog throws away what was typed into it by one press of Escape."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTabWidget,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom.window.forms.new_season import NewSeasonDialog
from ripenroom.window.forms.walk import WalkDialog
from ripenroom.window.forms.weather import WeatherDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.places.logs.list_dialog import LogListDialog
from ripenroom.window.session import Session
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.record_list import RecordsDialog
from tests.window.test_letters import every_dialog
from tests.window.week.hands import keyboard

pytestmark = pytest.mark.usefixtures("some_batches")

KEPT = {"check"}
"""What is typed there is there again."""
NOTHING_TO_KEEP = {"labels"}


def lines_to_type_in(dialog: QWidget) -> Iterator[QWidget]:
    """Lines of a dialog, but those that say what is chosen from a list."""
    for line in dialog.findChildren(QLineEdit) + dialog.findChildren(QPlainTextEdit):
        inside = dialog.rect().contains(line.mapTo(dialog, line.rect().center()))
        if line.isVisible() and line.isEnabled() and not line.isReadOnly() and inside:
            yield line


def test_every_form_asks_before_what_was_typed_is_lost(
    qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> None:
    tried: set[str] = set()
    for name, make in every_dialog(qtbot, window, tmp_path):
        for typed in (False, True):
            dialog = make()
            dialog.show()
            dialog.activateWindow()
            qtbot.waitUntil(dialog.isActiveWindow)
            lines = [*lines_to_type_in(dialog)]
            if isinstance(dialog, FormDialog | NewSeasonDialog) and lines:
                if typed:
                    lines[-1].setFocus()
                    QTest.keyClicks(lines[-1], "7")
                QTest.keyClick(keyboard(), Qt.Key.Key_Escape)
                asks = typed and name not in KEPT | NOTHING_TO_KEEP
                assert dialog.isVisible() == asks, (name, typed)
                if asks:
                    tried.add(name)
                    QTest.keyClick(keyboard(), Qt.Key.Key_Escape)
                    assert not dialog.isVisible(), name
            dialog.close()
            dialog.deleteLater()
    assert len(tried) > 15


def test_usual_months_are_asked_about_until_they_are_saved(qtbot: QtBot, session: Session) -> None:
    dialog = WeatherDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    for widget in dialog.findChildren(QTabWidget):
        widget.setCurrentIndex(1)
    coldest, _warmest = dialog.months[1]
    coldest.setFocus()
    coldest.selectAll()
    QTest.keyClicks(coldest, "-3")
    dialog.close_button.click()
    assert dialog.isVisible()
    assert dialog.note.text.endswith("Press Close again to throw it away.")
    dialog.months[1][1].setText("4")
    dialog.save_months.click()
    assert dialog.note.text == ""
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_lists_begin_in_the_list_and_not_at_close(
    qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> None:
    begun: list[str] = []
    for name, make in every_dialog(qtbot, window, tmp_path):
        dialog = make()
        if isinstance(dialog, RecordsDialog | LogListDialog):
            dialog.show()
            dialog.activateWindow()
            qtbot.waitUntil(dialog.isActiveWindow)
            focus = QApplication.focusWidget()
            assert focus is not None
            assert not (isinstance(focus, QPushButton) and focus.text() == "Close"), name
            begun.append(name)
        dialog.close()
        dialog.deleteLater()
    assert len(begun) >= 4


@pytest.fixture
def walk(qtbot: QtBot, session: Session) -> WalkDialog:
    dialog = WalkDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    return dialog


def test_what_was_squeezed_is_not_lost_either(walk: WalkDialog) -> None:
    walk.hand.taps[1].click()
    QTest.keyClick(walk, Qt.Key.Key_Escape)
    assert walk.isVisible()
    assert walk.hand.counts() is not None
    QTest.keyClick(walk, Qt.Key.Key_Escape)
    assert not walk.isVisible()


def test_what_was_saved_is_not_asked_about(walk: WalkDialog) -> None:
    walk.note.setFocus()
    QTest.keyClicks(walk.note, "dry")
    walk.hand.taps[1].click()
    walk.next_button.click()
    assert walk.isVisible()
    QTest.keyClick(walk, Qt.Key.Key_Escape)
    assert not walk.isVisible()


def test_a_refusal_is_not_the_question(walk: WalkDialog) -> None:
    walk.ground.setFocus()
    QTest.keyClicks(walk.ground, "many")
    walk.action_button.click()
    assert walk.isVisible()
    QTest.keyClick(walk, Qt.Key.Key_Escape)
    assert walk.isVisible()


def test_a_moment_that_follows_the_clock_is_not_typed(walk: WalkDialog) -> None:
    walk.when.clock.setFocus()
    walk.when.clock.setText("00:00")  # as the clock would
    QApplication.processEvents()
    QTest.keyClick(walk, Qt.Key.Key_Escape)
    assert not walk.isVisible()

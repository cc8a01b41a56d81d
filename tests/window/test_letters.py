"""Alt letters: each once in a window, and each reaches a line to type in."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QTabBar, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.forms.new_season import NewSeasonDialog
from ripenroom.window.forms.settle_market import SettleDialog
from ripenroom.window.main_window import MainWindow
from tests.pictured_dialogs import dialogs


def every_dialog(
    qtbot: QtBot, window: MainWindow, folder: Path
) -> Iterator[tuple[str, Callable[[], QWidget]]]:
    session = window.session
    assert session is not None

    def wait_for(done: Callable[[], bool]) -> None:
        qtbot.waitUntil(done, timeout=60_000)

    yield from dialogs(session, folder, wait_for, window)
    book = session.season.book
    settled = next(day.id for day in book.market_days.values() if day.settled_at)
    batch_id = session.season.worth_checking()[0]
    yield "after-market", lambda: SettleDialog(session, settled, window)
    yield "check", lambda: CheckDialog(session, batch_id, None, window)
    yield "expected-picks", lambda: ExpectedPicksDialog(session, window)
    yield "new-season", lambda: NewSeasonDialog(window)


def lettered(root: QWidget) -> list[tuple[str, QWidget]]:
    """Every Alt letter that works now, with what has it."""
    found: list[tuple[str, QWidget]] = []
    for widget in root.findChildren(QWidget):
        if not widget.isVisible() or widget.window() is not root:
            continue
        if isinstance(widget, QAbstractButton | QLabel):
            if isinstance(widget, QLabel) and widget.buddy() is None:
                continue
            texts = [widget.text()]
        elif isinstance(widget, QTabBar):
            texts = [widget.tabText(n) for n in range(widget.count())]
        else:
            continue
        for text in texts:
            letter = QKeySequence.mnemonic(text).toString()
            if letter:
                found.append((letter, widget))
    return found


@pytest.fixture
def all_of_them(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> Iterator[tuple[str, QWidget]]:
    def shown() -> Iterator[tuple[str, QWidget]]:
        for name, make in every_dialog(qtbot, window, tmp_path):
            dialog = make()
            dialog.show()
            QApplication.processEvents()
            yield name, dialog
            dialog.close()
            dialog.deleteLater()

    return shown()


def test_in_every_dialog_a_letter_stands_once_and_reaches_what_it_names(
    all_of_them: Iterator[tuple[str, QWidget]],
) -> None:
    twice: list[tuple[str, str, list[str]]] = []
    deaf: list[tuple[str, str]] = []
    for name, dialog in all_of_them:
        by_letter: dict[str, list[str]] = {}
        for letter, widget in lettered(dialog):
            by_letter.setdefault(letter, []).append(str(widget.property("text")))
            buddy = widget.buddy() if isinstance(widget, QLabel) else None
            if buddy is not None and buddy.focusPolicy() == Qt.FocusPolicy.NoFocus:
                deaf.append((name, letter))
        twice += [(name, letter, texts) for letter, texts in by_letter.items() if len(texts) > 1]
    assert twice == []
    assert deaf == []

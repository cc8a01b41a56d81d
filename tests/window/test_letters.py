"""Alt letters: each once in a window, and each reaches a line to type in."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QLabel,
    QMenuBar,
    QStackedWidget,
    QTabBar,
    QTabWidget,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.texts import use_language
from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.forms.new_season import NewSeasonDialog
from ripenroom.window.forms.settle_market import SettleDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.page_stack import PAGES
from tests.draws import first_every_day
from tests.pictured_dialogs import dialogs

pytestmark = pytest.mark.usefixtures("some_batches")


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


def lettered(root: QWidget) -> list[tuple[str, str, QWidget]]:
    """Every Alt letter below a widget, with its text and what has it.

    What is hidden now counts too: it may be shown beside the rest, unless it is a tab's that is
    not in front.
    """
    found: list[tuple[str, str, QWidget]] = []
    for widget in root.findChildren(QWidget):
        if widget.window() is not root.window() or lies_behind(widget):
            continue
        if isinstance(widget, QLabel):
            texts = [widget.text()] if widget.buddy() is not None else []
        elif isinstance(widget, QAbstractButton):
            texts = [widget.text()]
        elif isinstance(widget, QTabBar):
            texts = [widget.tabText(n) for n in range(widget.count())]
        elif isinstance(widget, QMenuBar):
            texts = [action.text() for action in widget.actions()]
        else:
            continue
        letters = ((QKeySequence.mnemonic(text).toString(), text) for text in texts)
        found += [(letter, text, widget) for letter, text in letters if letter]
    return found


def lies_behind(widget: QWidget) -> bool:
    """Whether another page or tab is in front of the one that a widget is in."""
    above = widget.parentWidget()
    while above is not None:
        front = above.currentWidget() if isinstance(above, QStackedWidget) else None
        if front is not None and front is not widget and not front.isAncestorOf(widget):
            return True
        above = above.parentWidget()
    return False


def twice_below(name: str, root: QWidget) -> list[tuple[str, str, list[str]]]:
    """Letters that stand more than once, with their texts.

    Of lines that are alike only the first shows its label.
    """
    by_letter: dict[str, list[str]] = {}
    for letter, text, widget in lettered(root):
        texts = by_letter.setdefault(letter, [])
        if text not in texts or widget.isVisible():
            texts.append(text)
    return [(name, letter, texts) for letter, texts in by_letter.items() if len(texts) > 1]


@pytest.fixture(params=first_every_day(["en", "es"]))
def language(request: pytest.FixtureRequest) -> Iterator[str]:
    use_language(request.param)
    yield request.param
    use_language("en")


@pytest.fixture
def all_of_them(
    language: str, qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> Iterator[tuple[str, QWidget]]:
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
        for letter, _, widget in lettered(dialog):
            buddy = widget.buddy() if isinstance(widget, QLabel) else None
            if buddy is not None and buddy.focusPolicy() == Qt.FocusPolicy.NoFocus:
                deaf.append((name, letter))
        twice += twice_below(name, dialog)
    assert twice == []
    assert deaf == []


def test_in_the_window_a_letter_stands_once_whatever_page_and_tab_is_in_front(
    language: str, window: MainWindow
) -> None:
    desk, session = window.desk, window.session
    assert desk is not None
    assert session is not None
    own = session.season.crop_text("plum").replace('key = "plum"', 'key = "plum_own"')
    session.season.do(actions.crops.save, own)
    twice: list[tuple[str, str, list[str]]] = []
    # A crop of one's own is deleted, a built-in one is not.
    for name, record_id in (*((page, "") for page in PAGES), ("crops", "plum_own")):
        desk.go_to(name)
        if record_id:
            desk.page(name).show_record(record_id)
        QApplication.processEvents()
        twice += twice_below(name, window)
        for tabs in desk.page(name).findChildren(QTabWidget):
            for n in range(tabs.count()):
                tabs.setCurrentIndex(n)
                QApplication.processEvents()
                twice += twice_below(f"{name}: {tabs.tabText(n)}", window)
    assert twice == []
    # The menus of the bar are among them.
    assert [widget for _, _, widget in lettered(window) if isinstance(widget, QMenuBar)]

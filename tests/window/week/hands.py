"""Two ways to work the window: by keys alone, and by a mouse that types only what must be typed.

Both send what a keyboard or a mouse sends, to whatever has the keyboard or lies under the pointer,
and count it. What cannot be reached fails.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, cast

from PySide6.QtCore import QKeyCombination, QPoint, Qt, QTimer
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QDialog,
    QLabel,
    QLineEdit,
    QMenu,
    QScrollArea,
    QSlider,
    QStyle,
    QStyleOptionSlider,
    QTableView,
    QWidget,
)
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.page_stack import PAGES
from ripenroom.window.widgets.field import Field

_TABS = 60
"""Whoever presses Tab so often has given up long before."""


@dataclass
class Tally:
    """What one step took: keys that are no text, clicks, and letters of what is typed.

    Where the column of pages is folded, ``unfolded`` is how many clicks besides unfolded it.
    """

    keys: int = 0
    clicks: int = 0
    letters: int = 0
    unfolded: int = 0

    @property
    def shown(self) -> str:
        """``"5 + 12"``: keys and clicks, and letters of what is typed."""
        done = self.keys + self.clicks
        return f"{done} + {self.letters}" if self.letters else f"{done}"


@dataclass
class Hand(ABC):
    """What a grower can do in the window."""

    qtbot: QtBot
    window: MainWindow
    steps: dict[str, Tally] = field(default_factory=dict)
    tally: Tally = field(default_factory=Tally)

    @contextmanager
    def step(self, name: str) -> Iterator[None]:
        """Count what is done inside under a name of its own."""
        self.tally = self.steps[name] = Tally()
        yield
        self.tally = Tally()

    # With the keyboard, in any hand

    def key(
        self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        """Press one key, with those that are held down."""
        QTest.keyClick(keyboard(), key, modifier)
        self.tally.keys += 1
        settle()

    def write(self, text: str) -> None:
        """Type a text where the keyboard is."""
        for letter in text:
            QTest.keyClicks(keyboard(), letter)
            self.tally.letters += 1

    def type(self, editor: QWidget, text: str) -> None:
        """Type a text into an editor, over what may stand there."""
        self.reach(editor)
        self.write(text)

    # As the hand does it

    @abstractmethod
    def reach(self, widget: QWidget) -> None:
        """Bring the keyboard to a widget."""

    @abstractmethod
    def push(self, button: QAbstractButton) -> None:
        """Press a button."""

    @abstractmethod
    def enter(self, button: QAbstractButton) -> None:
        """Press the main button of a form, of which one field has the keyboard."""

    @abstractmethod
    def menu(self, action: QAction) -> None:
        """Choose an entry of a menu."""

    @abstractmethod
    def page(self, name: str) -> None:
        """Go to a page."""

    @abstractmethod
    def choose(self, choices: QComboBox, text: str) -> None:
        """Choose from a list that folds out."""

    @abstractmethod
    def line(self, table: QTableView, row: int) -> None:
        """Choose a line of a table."""

    @abstractmethod
    def act(self, button: QAbstractButton, key: Qt.Key) -> None:
        """Do what a button above a table does, whose key there is ``key``."""

    # Dialogs

    def dialog(self, opens: Callable[[], None], inside: Callable[[QDialog], None]) -> None:
        """Do what opens a dialog, and in it what is to be done, until it is closed."""
        before = QApplication.activeModalWidget()
        went: list[str] = []
        failed: list[BaseException] = []

        def look() -> None:
            dialog = QApplication.activeModalWidget()
            if not isinstance(dialog, QDialog) or dialog is before:
                if not went:
                    QTimer.singleShot(5, look)
                return
            went.append("open")
            self.qtbot.waitUntil(dialog.isActiveWindow)
            try:
                inside(dialog)
                assert not isValid(dialog) or not dialog.isVisible(), "the dialog is still there"
            except BaseException as error:  # it must not be lost in the event loop
                failed.append(error)
                if isValid(dialog):
                    dialog.done(0)
            went.append("closed")

        QTimer.singleShot(0, look)
        opens()
        self.qtbot.waitUntil(lambda: "closed" in went, timeout=20_000)
        if failed:
            raise failed[0]
        settle()


class Keyboard(Hand):
    """Alt and a letter where there is one, else the Tab key; Enter presses."""

    def reach(self, widget: QWidget) -> None:
        """Press Alt and the letter of the label, else Tab until it is there."""
        if has_keyboard(widget):
            return
        letter = letter_to(widget)
        # Within a field the next part is nearer by Tab.
        if letter is not None and not any(has_keyboard(part) for part in beside(widget)):
            self.key(letter, Qt.KeyboardModifier.AltModifier)
        for _ in range(_TABS):
            if has_keyboard(widget):
                return
            self.key(Qt.Key.Key_Tab)
        raise AssertionError(f"Tab never comes to {widget.accessibleName() or widget}")

    def push(self, button: QAbstractButton) -> None:
        """Press its Alt letter, else go to it and press Enter."""
        assert button.isEnabled(), button.text()
        letter = mnemonic(button.text())
        if letter is not None:
            self.key(letter, Qt.KeyboardModifier.AltModifier)
            # For a moment Qt shows it pressed before it does what it says.
            self.qtbot.waitUntil(lambda: not isValid(button) or not button.isDown())
        else:
            self.reach(button)
            self.key(Qt.Key.Key_Return)

    def enter(self, button: QAbstractButton) -> None:
        """Press Enter where the keyboard is."""
        self.key(Qt.Key.Key_Return)

    def menu(self, action: QAction) -> None:
        """Press its keys."""
        keys = action.shortcut()
        assert not keys.isEmpty(), action.text()
        self.key(*pressed(keys))

    def page(self, name: str) -> None:
        """Press Alt and its number."""
        number = list(PAGES).index(name) + 1
        self.key(Qt.Key(Qt.Key.Key_0.value + number), Qt.KeyboardModifier.AltModifier)
        settle()

    def choose(self, choices: QComboBox, text: str) -> None:
        """Go there and press Down or Up until it is there."""
        self.reach(choices)
        wanted = choices.findText(text)
        assert wanted >= 0, text
        way = Qt.Key.Key_Down if wanted > choices.currentIndex() else Qt.Key.Key_Up
        while choices.currentIndex() != wanted:
            self.key(way)

    def line(self, table: QTableView, row: int) -> None:
        """Go there and press Down or Up until it is chosen; Home first where that is nearer."""
        self.reach(table)
        if not table.selectionModel().isRowSelected(row) and not table.currentIndex().isValid():
            self.key(Qt.Key.Key_Down)
        while table.currentIndex().row() != row:
            down = table.currentIndex().row() < row
            self.key(Qt.Key.Key_Down if down else Qt.Key.Key_Up)
        assert table.selectionModel().isRowSelected(row)

    def act(self, button: QAbstractButton, key: Qt.Key) -> None:
        """Press the key in the table."""
        self.key(key)


class Mouse(Hand):
    """One click for what is in sight; a list folds out with one and takes another."""

    def click(self, widget: QWidget, spot: QPoint | None = None) -> None:
        """Press and let go the left button on a widget."""
        scroll_to(widget)
        spot = widget.rect().center() if spot is None else spot
        top = QApplication.widgetAt(widget.mapToGlobal(spot))
        assert widget.isVisible()
        assert widget.isEnabled()
        assert top is None or top is widget or widget.isAncestorOf(top), f"{top} covers {widget}"
        QTest.mouseClick(top or widget, Qt.MouseButton.LeftButton, pos=(
            spot if top is None else top.mapFrom(widget, spot)
        ))  # fmt: skip
        self.tally.clicks += 1
        settle()

    def reach(self, widget: QWidget) -> None:
        """Click on it; not where the keyboard is already."""
        if has_keyboard(widget):
            return
        self.click(widget)
        assert has_keyboard(widget)

    def key(
        self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        """Only to end what is typed: it counts as a letter."""
        super().key(key, modifier)
        self.tally.keys -= 1
        self.tally.letters += 1

    def type(self, editor: QWidget, text: str) -> None:
        """Click there, three times over a text that is to go, and type."""
        self.reach(editor)
        if isinstance(editor, QLineEdit) and editor.text() and not editor.hasSelectedText():
            QTest.mouseDClick(editor, Qt.MouseButton.LeftButton)
            QTest.mouseClick(editor, Qt.MouseButton.LeftButton)
            self.tally.clicks += 2
            assert editor.selectedText() == editor.text()
        self.write(text)

    def drag(self, slider: QSlider, value: int) -> None:
        """Pull the handle of a slider to a value, and let go."""
        scroll_to(slider)
        option = QStyleOptionSlider()
        slider.initStyleOption(option)
        at, handle = slider.style(), QStyle.SubControl.SC_SliderHandle
        start = at.subControlRect(QStyle.ComplexControl.CC_Slider, option, handle, slider).center()
        QTest.mousePress(slider, Qt.MouseButton.LeftButton, pos=start)
        way = 1 if value > slider.value() else -1
        spot = start
        while slider.value() != value and slider.rect().contains(spot):
            spot += QPoint(way, 0)
            QTest.mouseMove(slider, spot)
            settle()
        QTest.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=spot)
        self.tally.clicks += 1
        settle()

    def push(self, button: QAbstractButton) -> None:
        """Click on it."""
        self.click(button)

    def enter(self, button: QAbstractButton) -> None:
        """Click on it."""
        self.click(button)

    def menu(self, action: QAction) -> None:
        """Click on the menu, then on the entry."""
        bar = self.window.menuBar()
        for top in bar.actions():
            menu = top.menu()
            if isinstance(menu, QMenu) and action in menu.actions():
                QTest.mouseClick(
                    bar, Qt.MouseButton.LeftButton, pos=bar.actionGeometry(top).center()
                )
                settle()
                assert menu.isVisible()
                spot = menu.actionGeometry(action).center()
                self.tally.clicks += 2
                QTest.mouseClick(menu, Qt.MouseButton.LeftButton, pos=spot)
                return
        raise AssertionError(action.text())

    def page(self, name: str) -> None:
        """Click on its name in the column, or where there is no room for that in what unfolds."""
        assert self.window.desk is not None
        navigation = self.window.desk.navigation
        if navigation.isVisible():
            self.click(navigation._buttons[name])
        else:
            menu = navigation.menu

            def choose() -> None:
                if not menu.isVisible():
                    QTimer.singleShot(5, choose)
                    return
                spot = menu.actionGeometry(navigation.actions_by_name[name]).center()
                QTest.mouseClick(menu, Qt.MouseButton.LeftButton, pos=spot)
                self.tally.clicks += 1

            # The click that unfolds it comes back once it is folded again.
            QTimer.singleShot(0, choose)
            self.click(navigation.menu_button)
            self.tally.clicks -= 1
            self.tally.unfolded += 1
        settle()
        assert self.window.desk.current == name

    def choose(self, choices: QComboBox, text: str) -> None:
        """Click on the list, then on the line."""
        self.click(choices, QPoint(choices.width() - 8, choices.height() // 2))
        view = choices.view()
        settle()
        spot = view.visualRect(choices.model().index(choices.findText(text), 0)).center()
        self.tally.clicks += 1
        QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
        assert choices.currentText() == text

    def line(self, table: QTableView, row: int) -> None:
        """Click on it."""
        spot = table.visualRect(table.model().index(row, 0)).center()
        self.click(table.viewport(), spot)

    def act(self, button: QAbstractButton, key: Qt.Key) -> None:
        """Click on the button."""
        self.click(button)


def keyboard() -> QWidget:
    """The widget that has the keyboard."""
    found = QApplication.activePopupWidget() or QApplication.focusWidget()
    found = found or QApplication.activeModalWidget() or QApplication.activeWindow()
    assert found is not None
    return found


def has_keyboard(widget: QWidget) -> bool:
    """Whether a widget, or what stands for it, has the keyboard."""
    focus = QApplication.focusWidget()
    proxy = widget.focusProxy()
    own = [w for w in (widget, proxy) if w is not None]
    return focus is not None and any(w is focus or w.isAncestorOf(focus) for w in own)


def letter_to(widget: QWidget) -> Qt.Key | None:
    """The letter with which Alt reaches a widget or the field that it is a part of."""
    own = (widget, *beside(widget))
    for label in (w for w in widget.window().findChildren(QLabel) if w.isVisible()):
        buddy = label.buddy()
        if buddy is not None and any(buddy is w or buddy.focusProxy() is w for w in own):
            return mnemonic(label.text())
    return None


def beside(widget: QWidget) -> tuple[QWidget, ...]:
    """The editors of the field that a widget is a part of; none where it is in no field."""
    at: QWidget | None = widget
    while at is not None and not isinstance(at, Field):
        at = at.parentWidget()
    return () if at is None else tuple(at.editors)


def mnemonic(text: str) -> Qt.Key | None:
    """The letter that is pressed with Alt."""
    keys = QKeySequence.mnemonic(text)
    return None if keys.isEmpty() else pressed(keys)[0]


def pressed(keys: QKeySequence) -> tuple[Qt.Key, Qt.KeyboardModifier]:
    """The key of a shortcut and those that are held down with it."""
    combination: QKeyCombination = cast(Any, keys)[0]  # of which its stub does not know
    return combination.key(), combination.keyboardModifiers()


def scroll_to(widget: QWidget) -> None:
    """Turn the wheel until a widget is in sight, which is no click."""
    at = widget.parentWidget()
    while at is not None:
        if isinstance(at, QScrollArea):
            at.ensureWidgetVisible(widget)
            settle()
        at = at.parentWidget()


def settle() -> None:
    """Let everything that is due happen.

    A window that is closed, or a list that was folded out, leaves the keyboard to the one below: a
    window manager sees to that, of which the screen of tests has none.
    """
    for _ in range(5):
        QApplication.processEvents()
    active = QApplication.activeWindow()
    if QApplication.activePopupWidget() is None and (active is None or not active.isVisible()):
        below = QApplication.activeModalWidget() or next(
            w for w in QApplication.topLevelWidgets() if isinstance(w, MainWindow) and w.isVisible()
        )
        below.activateWindow()
        for _ in range(5):
            QApplication.processEvents()

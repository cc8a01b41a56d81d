"""Shows dialogs, and proposes names for new files."""

import re
from pathlib import Path

from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent
from PySide6.QtWidgets import QApplication, QDialog, QPushButton, QToolButton, QWidget

from ripenroom.private_file import free_path

ENTER_IS_FOR_THE_FORM = "enter_is_for_the_form"
"""Property of a button that only Space presses: Enter means the form's main button there."""


def pressed_by_enter(event: QKeyEvent) -> bool:
    """Press the button that has the keyboard, if this is the Enter key; whether it was pressed."""
    button = QApplication.focusWidget()
    if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        return False
    if not isinstance(button, QPushButton | QToolButton) or not button.isEnabled():
        return False
    if button.property(ENTER_IS_FOR_THE_FORM):
        return False
    button.click()
    return True


class EnterDialog(QDialog):
    """A dialog in which Enter presses the button that has the keyboard, before the main one."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt would press the main button from wherever it is not told otherwise."""
        if not pressed_by_enter(event):
            super().keyPressEvent(event)


def ask(dialog: QDialog) -> int:
    """Show a dialog until it is closed; its result.

    Then it is let go: one that stayed with its parent would follow every change of the season.
    """
    try:
        return dialog.exec()
    finally:
        dialog.deleteLater()


def room_for(dialog: QWidget) -> QSize:
    """Logical pixels that a dialog may take on the screen of the window that asks.

    A dialog must not ask for its own ``screen()``: PySide then takes the screen for a part of the
    dialog, and once that is collected as garbage Qt's only screen is deleted with it.
    """
    asking = dialog.parentWidget()
    spot = asking.window().geometry().center() if asking is not None else QPoint()
    screen = QGuiApplication.screenAt(spot) or QGuiApplication.primaryScreen()
    return screen.availableSize()


_NOT_PLAIN = re.compile(r"[^\w ()+,'’-]+")
_LONGEST = 80


def proposed(folder: Path, stem: str, suffix: str) -> str:
    """A free name in a folder, as a file dialog takes it.

    Of ``stem``, which may come out of a file, only letters, digits and harmless signs are kept: it
    can lead to no other folder, and not be hidden.

    >>> Path(proposed(Path("/no/such/place"), "../.plan/of 3", ".csv")).name
    'plan of 3.csv'
    """
    plain = " ".join(_NOT_PLAIN.sub(" ", stem).split())[:_LONGEST].strip()
    return str(free_path(folder / f"{plain or 'ripenroom'}{suffix}"))

"""Showing dialogs: how large one may be, and that it goes when it is closed."""

from PySide6.QtCore import QPoint, QSize
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QWidget


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

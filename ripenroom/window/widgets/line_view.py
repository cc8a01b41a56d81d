"""A table of whole lines on which a page's keys act, and the buttons that say these keys."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QPushButton, QTableView, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import set_hint


class LineView(QTableView):
    """One line is selected, whole; a key in ``acts`` does what the page's button does."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.acts: Mapping[Qt.Key, Callable[[], None]] = {}
        self.setAccessibleName(name)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.horizontalHeader().setHighlightSections(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Each button's key does what the button does; with Ctrl it is a key of the window's."""
        act = self.acts.get(Qt.Key(event.key()))
        if act is None or event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            super().keyPressEvent(event)
        else:
            act()


def keyed_button(text: str, keys: str, parent: QWidget) -> QPushButton:
    """A button above such a table, whose hint says its key there."""
    button = QPushButton(text, parent)
    set_hint(button, tr("Key: {keys}").format(keys=keys))
    return button

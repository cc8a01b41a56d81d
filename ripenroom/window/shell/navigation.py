"""The pages by name: a column of words, or one menu button where the window is narrow."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QFrame, QMenu, QPushButton, QToolButton, QVBoxLayout, QWidget

from ripenroom.window.plain import PlainLabel, set_hint

PageName = tuple[str, str]
"""A page's name in the program, and as the user reads it."""


class Navigation(QFrame):
    """The column. ``chosen`` carries a page's name; :attr:`menu_button` stands in for the column.

    Alt+1, Alt+2 … choose the pages in order, whether the column is shown or not.
    """

    chosen = Signal(str)

    def __init__(self, pages: Sequence[PageName], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("navigation")
        self.season_label = PlainLabel(parent=self)
        self.season_label.setObjectName("seasonName")
        self.season_label.setWordWrap(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 16, 0, 16)
        layout.setSpacing(0)
        layout.addWidget(self.season_label)
        layout.addSpacing(14)
        self.actions_by_name: dict[str, QAction] = {}
        self._buttons: dict[str, QPushButton] = {}
        group = QActionGroup(self)
        self.menu = QMenu(self)
        for number, (name, text) in enumerate(pages, start=1):
            action = QAction(text, self, checkable=True)
            action.setShortcut(QKeySequence(f"Alt+{number}"))
            action.setShortcutContext(Qt.ShortcutContext.WindowShortcut)
            action.triggered.connect(lambda _checked=False, page=name: self.chosen.emit(page))
            group.addAction(action)
            self.menu.addAction(action)
            self.actions_by_name[name] = action
            layout.addWidget(self._button(name, text, action))
        layout.addStretch(1)
        self.menu_button = QToolButton(parent)
        self.menu_button.setMenu(self.menu)
        self.menu_button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.menu_button.setAccessibleName(self.tr("Pages"))

    def _button(self, name: str, text: str, action: QAction) -> QPushButton:
        button = QPushButton(text, self)
        button.setCheckable(True)
        button.setAutoExclusive(True)
        button.setAccessibleName(text)
        keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
        set_hint(button, f"{text} ({keys})")
        button.clicked.connect(lambda: action.trigger())
        self._buttons[name] = button
        return button

    def show_chosen(self, name: str) -> None:
        """Mark the page that is in front."""
        self.actions_by_name[name].setChecked(True)
        self._buttons[name].setChecked(True)
        self.menu_button.setText("☰  " + self.actions_by_name[name].text())

"""The pages by name, and what is shown while no season is open: the ways to begin, recent files."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QSettings, Qt, Signal
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QFrame, QMenu, QPushButton, QToolButton, QVBoxLayout, QWidget

from ripenroom.texts import tr
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
        self.menu_button.setAccessibleName(tr("Pages"))

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


class Welcome(QWidget):
    """Three ways to begin, in words."""

    newSeason = Signal()  # noqa: N815 - named as Qt names signals
    openSeason = Signal()  # noqa: N815
    openPractice = Signal()  # noqa: N815

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        heading = PlainLabel(tr("No season is open"), self)
        heading.setObjectName("pageTitle")
        text = PlainLabel(
            tr(
                "A season file keeps the picks of one harvest: what was picked, how it felt, "
                "where it waits. Start one for your farm, or look around in the practice season: "
                "it is made up, and you can change anything in it."
            ),
            self,
        )
        text.setWordWrap(True)
        text.setMaximumWidth(640)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(32, 32, 32, 32)
        layout.setSpacing(12)
        layout.addWidget(heading)
        layout.addWidget(text)
        layout.addSpacing(8)
        self.buttons: list[QPushButton] = []
        for says, signal in (
            (tr("Start a new season…"), self.newSeason),
            (tr("Open a season file…"), self.openSeason),
            (tr("Open the practice season"), self.openPractice),
        ):
            button = QPushButton(says, self)
            button.clicked.connect(signal)
            button.setMinimumWidth(260)
            layout.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
            self.buttons.append(button)
        layout.addStretch(1)


_KEPT = 8


class Recent:
    """Paths of season files, the latest first, kept in the settings."""

    def __init__(self, settings: QSettings) -> None:
        self._settings = settings

    def paths(self) -> list[Path]:
        """Files that were opened lately and are still there."""
        texts = as_list(self._settings.value("recent", []))
        return [path for path in map(Path, texts) if path.is_file()]

    def remember(self, path: Path) -> None:
        """Put ``path`` first."""
        path = path.resolve()
        others = [other for other in self.paths() if other != path]
        self._settings.setValue("recent", [str(p) for p in [path, *others][:_KEPT]])


def as_list(kept: object) -> list[str]:
    """A list of texts from the settings: one of one comes back from an INI file as a text."""
    if isinstance(kept, str):
        return [kept]
    return [str(text) for text in kept] if isinstance(kept, list) else []

"""Where the refusals of a form over a table are told, so that the table does not jump."""

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from ripenroom.window.style_sheet import target_height
from ripenroom.window.widgets.field import RefusalNote

_AIR_PX = 4
"""What a note leaves free above and below."""


class RefusalPlace(QStackedWidget):
    """Notes of refusals, or what is said there while nothing is refused: it is as high as the
    higher of the two, and never lower than it is told to be."""

    def __init__(self, notes: Iterable[RefusalNote], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._notes = tuple(notes)
        usual, refused = QWidget(self), QWidget(self)
        self._usual = QVBoxLayout(usual)
        column = QVBoxLayout(refused)
        for layout in (self._usual, column):
            layout.setContentsMargins(0, 0, 0, 0)
            layout.setSpacing(0)
        for note in self._notes:
            column.addWidget(note)
            note.installEventFilter(self)
        for layout in (self._usual, column):
            layout.addStretch(1)
        self.addWidget(usual)
        self.addWidget(refused)

    def usually_say(self, words: QWidget) -> None:
        """Show this while nothing is refused."""
        self._usual.insertWidget(0, words)

    def keep_room(self, buttons: bool, lines: int = 1) -> None:
        """Never be lower than a refusal of so many lines, with the ``buttons`` of a question."""
        line_px = target_height(self.font()) if buttons else self.fontMetrics().height()
        self.setMinimumHeight((line_px + _AIR_PX) * lines)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Turn to the notes while one of them tells something."""
        if event.type() in (QEvent.Type.ShowToParent, QEvent.Type.HideToParent):
            self.setCurrentIndex(int(any(not note.isHidden() for note in self._notes)))
        return super().eventFilter(watched, event)

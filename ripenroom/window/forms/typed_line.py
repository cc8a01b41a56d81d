"""A line to type in that leaves Ctrl+Z to the season once nothing typed is left to take back."""

from PySide6.QtCore import QEvent
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLineEdit, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.window.wording import Wording


class TypedLine(QLineEdit):
    """``letters`` is how many letters it shows at least."""

    def __init__(
        self, letters: int = 8, placeholder: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._letters = letters
        self.setPlaceholderText(placeholder)
        self._fit()

    def _fit(self) -> None:
        self.setMinimumWidth(self.fontMetrics().horizontalAdvance("0") * self._letters + 14)

    def changeEvent(self, event: QEvent) -> None:
        """Keep room for the letters when the text size changes."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit()

    def event(self, event: QEvent) -> bool:
        """Qt's line keeps undo for itself even when it has nothing to undo; this one does not."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and (
                (event.matches(QKeySequence.StandardKey.Undo) and not self.isUndoAvailable())
                or (event.matches(QKeySequence.StandardKey.Redo) and not self.isRedoAvailable())
            )
        ):
            event.ignore()
            return False
        return super().event(event)


def typed_number(line: TypedLine, words: Wording, field: str) -> float:
    """The number in a line; raises ``Refusal`` of ``field`` for anything else."""
    typed = line.text().strip()
    value = words.parse_number(typed)
    if value is None:
        raise Refusal(field, "Type a number here, not “{typed}”.", typed=typed)
    return value

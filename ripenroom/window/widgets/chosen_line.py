"""A line that comes with all its text chosen, so that typing begins another one."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QFocusEvent, QMouseEvent

from ripenroom.window.widgets.inputs import TypedLine


class ChosenLine(TypedLine):
    """However the keyboard comes, a click included; a second click sets the cursor.

    Each kind says in :meth:`read_back` what happens when the line is left.
    """

    _clicked_in = False

    def read_back(self) -> None:
        """The line is left: read what was typed."""
        raise NotImplementedError

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Choose all, but where only a popup was closed."""
        super().focusInEvent(event)
        self._clicked_in = event.reason() == Qt.FocusReason.MouseFocusReason
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.selectAll()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Read what was typed, but where only a popup was opened."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.read_back()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The click that came in chooses all, where it chose nothing itself."""
        super().mouseReleaseEvent(event)
        if self._clicked_in and not self.hasSelectedText():
            self.selectAll()
        self._clicked_in = False

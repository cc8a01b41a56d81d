"""A labelled input with room beside it for why it was refused."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLayout, QVBoxLayout, QWidget

from ripenroom.window.forms.refusal_note import Choice, RefusalNote


class Field(QWidget):
    """A label above one or several editors in a line, and below them the refusal, if any.

    The first editor is the label's buddy; editors without an accessible name of their own take
    the label's.
    """

    def __init__(
        self, label: str, *editors: QWidget, hint: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.editors = editors
        self.label = QLabel(label, self)
        self.label.setBuddy(editors[0])
        self.note = RefusalNote(self)
        line = QHBoxLayout()
        line.setSpacing(6)
        plain = label.replace("&", "")
        for editor in editors:
            line.addWidget(editor, 1 if editor is editors[0] else 0)
            if not editor.accessibleName():
                editor.setAccessibleName(plain)
            if hint and not editor.toolTip():
                editor.setToolTip(hint)
                editor.setAccessibleDescription(hint)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(3)
        layout.setSizeConstraint(QLayout.SizeConstraint.SetDefaultConstraint)
        layout.addWidget(self.label)
        layout.addLayout(line)
        layout.addWidget(self.note)
        layout.addStretch(1)

    def refuse(self, text: str, choices: Sequence[Choice] = ()) -> None:
        """Say beside the field why it was refused; without choices the field takes the keyboard."""
        self._mark(True)
        self.note.tell(text, choices)
        if not choices:
            self.editors[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def clear_refusal(self) -> None:
        """Forget an earlier refusal."""
        if not self.note.isHidden():
            self._mark(False)
            self.note.clear()

    def _mark(self, refused: bool) -> None:
        for editor in self.editors:
            editor.setProperty("refused", refused)
            # A style sheet reads a property only when a widget is polished anew.
            editor.style().unpolish(editor)
            editor.style().polish(editor)

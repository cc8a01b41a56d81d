"""A refusal in words, with the ways out of it as buttons."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.wrapped_label import WrappedLabel

Choice = tuple[str, Callable[[], None]]
"""What a button says and what it does."""


def refusal_text(refusal: Refusal) -> str:
    """The refusal in the user's language."""
    template = QCoreApplication.translate("Refusals", refusal.text)
    return template.format(**refusal.values)


class RefusalNote(QWidget):
    """Nothing until :meth:`tell`; then a marked line of text, and a button for each choice."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._label = WrappedLabel(parent=self)
        self._label.setObjectName("refusal")
        self._buttons = QHBoxLayout()
        self._buttons.setContentsMargins(0, 0, 0, 0)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 2, 0, 2)
        layout.setSpacing(8)
        layout.addWidget(self._label, 1)
        layout.addLayout(self._buttons)
        self.hide()

    @property
    def text(self) -> str:
        """What is told at the moment."""
        return self._label.text()

    def tell(self, text: str, choices: Sequence[Choice] = ()) -> None:
        """Show ``text`` and a button for each choice; the first of them takes the keyboard."""
        self.clear()
        # The mark says "warning" where colour cannot.
        self._label.setText("! " + text)
        for says, does in choices:
            button = QPushButton(says, self)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _checked=False, act=does: act())
            self._buttons.addWidget(button)
        self.show()
        first = self._buttons.itemAt(0)
        if first is not None and (button_widget := first.widget()) is not None:
            button_widget.setFocus(Qt.FocusReason.OtherFocusReason)

    def clear(self) -> None:
        """Take the text and its buttons away."""
        self._label.clear()
        while (item := self._buttons.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                # A choice may be what is being clicked just now: let that end first.
                widget.deleteLater()
        self.hide()

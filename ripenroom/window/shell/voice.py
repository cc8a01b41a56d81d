"""The line at the foot of the window: what was done, or why something was not."""

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.refusal_note import RefusalNote, refusal_text
from ripenroom.window.plain import PlainLabel

_SAID_FOR_MS = 12_000


class Voice(QFrame):
    """Says what was done for a while; keeps a refusal until it is closed or something is done.

    In between it says where everything is saved. It is always there, so that no page jumps when
    something is said.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("voice")
        self._said = PlainLabel(parent=self)
        self._said.setWordWrap(True)
        self._said.setAccessibleName(self.tr("What was done"))
        self._refused = RefusalNote(self)
        self._resting = ""
        self.close_button = QPushButton(self.tr("Close message"), self)
        self.close_button.clicked.connect(self.fall_silent)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(16, 4, 16, 4)
        layout.addWidget(self._said, 1)
        layout.addWidget(self._refused, 1)
        layout.addWidget(self.close_button)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.fall_silent)
        self.fall_silent()

    @property
    def text(self) -> str:
        """What is said at the moment."""
        return self._refused.text or self._said.text()

    def rest_on(self, text: str) -> None:
        """What to say while there is nothing else to say."""
        self._resting = text
        if not self._timer.isActive() and not self._refused.text:
            self.fall_silent()

    def say(self, text: str) -> None:
        """Say what was done."""
        self.fall_silent()
        self._said.setText(text)
        self._timer.start(_SAID_FOR_MS)

    def refuse(self, refusal: Refusal) -> None:
        """Say why something was not done."""
        self.warn(refusal_text(refusal))

    def warn(self, text: str) -> None:
        """Say what went wrong; it stays until it is closed."""
        self.fall_silent()
        self._said.hide()
        self._refused.tell(text)
        self.close_button.show()

    def fall_silent(self) -> None:
        """Take the message away."""
        self._timer.stop()
        self._refused.clear()
        self.close_button.hide()
        self._said.setText(self._resting)
        self._said.show()

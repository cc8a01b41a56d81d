"""The line on the Picks page that says what the trees are expected, and likely, to bring."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.plain import set_hint
from ripenroom.window.planning.expected_words import likely_words, what_is_expected
from ripenroom.window.session import Session

KEYS = "Ctrl+E"

_SHOWN = 2
"""Picks that the line names; of more it says how many they are."""


class ExpectedBar(QWidget):
    """What is expected next, and the button that opens the list."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.text = WrappedLabel(parent=self)
        self.text.setObjectName("faint")
        self.button = QPushButton(self.tr("E&xpected picks…"), self)
        self.button.setShortcut(KEYS)
        set_hint(
            self.button,
            self.tr("What the trees will bring, so that the plan counts on it. Key: {keys}").format(
                keys=KEYS
            ),
        )
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(12)
        layout.addWidget(self.text, 1)
        layout.addWidget(self.button, 0, Qt.AlignmentFlag.AlignTop)

    def refresh(self) -> None:
        """Say what is expected as on now, and what the last days' picks make likely."""
        picks = self._session.season.ask.still_expected()
        parts = [what_is_expected(pick, self._session) for pick in picks[:_SHOWN]]
        if len(picks) > _SHOWN:
            parts.append(self.tr("and {more} more").format(more=len(picks) - _SHOWN))
        said = [self.tr("Expected: {picks}").format(picks="; ".join(parts))] if parts else []
        likely = likely_words(self._session)
        if likely:
            said.append(
                self.tr("Going by the last days’ picks, {picks}").format(picks="; ".join(likely))
            )
        self.text.setText(". ".join(said) or self.tr("No further pick is expected."))

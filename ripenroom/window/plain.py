"""Labels and hints that show a text as it is.

Qt takes a text for marked up that looks so, and then loads the pictures it names. Names and notes
come from files of other people: what they wrote is shown, never followed.
"""

from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import Qt as QtText
from PySide6.QtWidgets import QLabel, QWidget  # noqa: TID251


class PlainLabel(QLabel):
    """A label that shows a text as it is; the only one beside what the program marks up itself."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setText(text)


class _Hinted(Protocol):
    def setToolTip(self, text: str, /) -> None: ...


def set_hint(control: _Hinted, text: str) -> None:
    """Give a control the hint that is shown where the pointer rests on it."""
    control.setToolTip(plain_hint(text))


def plain_hint(text: str) -> str:
    """A text as hints take it: hints know no plain text, so one that looks marked up is quoted."""
    return QtText.convertFromPlainText(text) if QtText.mightBeRichText(text) else text

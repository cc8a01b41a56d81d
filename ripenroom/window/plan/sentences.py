"""A heading with plain sentences under it."""

from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.plain import PlainLabel


class Sentences(QWidget):
    """One label for each sentence, so that each is read out by itself."""

    def __init__(self, heading: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heading = PlainLabel(heading, self)
        self._heading.setObjectName("sectionTitle")
        self._labels: list[WrappedLabel] = []
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 8, 0, 0)
        self._layout.setSpacing(4)
        self._layout.addWidget(self._heading)

    @property
    def texts(self) -> list[str]:
        """The sentences."""
        return [label.text() for label in self._labels]

    def show_texts(self, texts: Sequence[str]) -> None:
        """Show these and no others."""
        for label in self._labels:
            self._layout.removeWidget(label)
            label.hide()
            label.deleteLater()
        self._labels = [WrappedLabel(text, self) for text in texts]
        for label in self._labels:
            self._layout.addWidget(label)

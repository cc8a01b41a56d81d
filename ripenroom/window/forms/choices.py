"""A list to choose one record from, which keeps its choice while the season changes."""

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QComboBox, QSizePolicy, QWidget


class Choices(QComboBox):
    """A combo box over ``(value, text)`` pairs; values are compared by equality."""

    def __init__(self, letters: int = 10, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._values: list[object] = []
        self.setMinimumContentsLength(letters)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_choices(self, choices: Sequence[tuple[object, str]]) -> None:
        """Offer these; the present choice stays if it is among them."""
        kept = self.value()
        with QSignalBlocker(self):
            self.clear()
            self._values = [value for value, _ in choices]
            self.addItems([text for _, text in choices])
            self.choose(kept)

    def value(self) -> object:
        """The value of the present choice, or None."""
        index = self.currentIndex()
        return self._values[index] if 0 <= index < len(self._values) else None

    def choose(self, value: object) -> bool:
        """Make ``value`` the choice; returns False, changing nothing, if it is not offered."""
        if value not in self._values:
            return False
        self.setCurrentIndex(self._values.index(value))
        return True

"""All that is known of what is selected in a list, in a few lines below it."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QScrollArea, QWidget

from ripenroom.window.forms.wrapped_label import WrappedLabel

_LINES = 3


class ToldArea(QScrollArea):
    """As high as a few lines; where there is no room one has to do, and the others are scrolled."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label = WrappedLabel(parent=self)
        self.label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.setWidgetResizable(True)
        self.setAccessibleName(name)
        self.setWidget(self.label)

    def sizeHint(self) -> QSize:
        """A few lines."""
        return QSize(0, _LINES * self.fontMetrics().lineSpacing() + 6)

    def minimumSizeHint(self) -> QSize:
        """One line."""
        return QSize(0, self.fontMetrics().lineSpacing() + 6)

"""A label whose text wraps at whatever width it is given."""

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QSizePolicy, QWidget

from ripenroom.window.plain import PlainLabel


class WrappedLabel(PlainLabel):
    """Plain text that asks for no width, and for as many lines as its width makes necessary.

    Qt's own label guesses a width when it says how high it is, and makes forms taller than they
    need to be.
    """

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setWordWrap(True)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def sizeHint(self) -> QSize:
        """One line; more come by height for width."""
        margins = self.contentsMargins()
        return QSize(0, self.fontMetrics().height() + margins.top() + margins.bottom())

    def minimumSizeHint(self) -> QSize:
        """One line."""
        return self.sizeHint()

"""A small whole number, typed or stepped to."""

from PySide6.QtWidgets import QSpinBox, QWidget


class CountBox(QSpinBox):
    """A spin box whose number keeps off its frame, which style sheets cannot ask for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.lineEdit().setTextMargins(6, 0, 0, 0)

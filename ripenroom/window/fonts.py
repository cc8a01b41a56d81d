"""Fonts that are made from others."""

from PySide6.QtGui import QFont


def bold(font: QFont) -> QFont:
    """The same font, heavy."""
    heavy = QFont(font)
    heavy.setBold(True)
    return heavy

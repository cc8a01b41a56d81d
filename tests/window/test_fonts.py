"""A heavy font is another one: the one it was made from stays."""

from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication

from ripenroom.window.theme import bold


def test_a_heavy_font_is_as_large_as_the_plain_one(qapp: QApplication) -> None:
    plain = QFont(qapp.font())
    plain.setPointSizeF(13.0)
    heavy = bold(plain)
    assert (heavy.bold(), heavy.pointSizeF()) == (True, 13.0)
    assert not plain.bold()

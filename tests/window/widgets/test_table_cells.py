"""Texts of cells where there is little room."""

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFont, QFontMetrics
from PySide6.QtWidgets import QApplication

from ripenroom.window.widgets.table_cells import broken_px, lines_px

TEXTS = ["Pawpaw", "Middle row 2, by the barn", "Pennsylvania Golden · Avocado", "", "a b"]


@pytest.mark.parametrize("text", TEXTS)
def test_a_text_is_broken_at_the_best_of_its_blanks(qapp: QApplication, text: str) -> None:
    letters = QFontMetrics(QFont())
    assert broken_px(text, letters, 1) == letters.horizontalAdvance(text)
    wide = broken_px(text, letters, 2)
    assert wide <= broken_px(text, letters, 1)
    flags = int(Qt.TextFlag.TextWordWrap)
    two = lines_px(letters, 2)
    fits = letters.boundingRect(QRect(0, 0, wide + 1, 1000), flags, text)
    assert fits.height() <= two
    if " " in text:
        # A letter less, and it takes a third line or is wider than its room.
        less = wide - letters.averageCharWidth()
        narrow = letters.boundingRect(QRect(0, 0, less, 1000), flags, text)
        assert narrow.height() > two or narrow.width() > less

"""Texts can be read as they are drawn, whatever style sheet and palette each had in mind."""

from collections.abc import Iterator
from datetime import date

import pytest
from PySide6.QtCore import QLocale, QRect
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QToolButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom.window.theme import Look, dress
from ripenroom.window.widgets.day_line import CalendarPopup
from tests.window.test_theme import contrast

LEGIBLE = 4.5
"""WCAG 2.2, 1.4.3, of texts; it leaves out what is disabled, but growers read that too."""


@pytest.fixture(params=[Look.LIGHT, Look.DARK], autouse=True)
def look(request: pytest.FixtureRequest, qapp: QApplication) -> Iterator[None]:
    dress(qapp, request.param, 150)  # strokes of several pixels: their middle is the pure ink
    yield
    dress(qapp, Look.LIGHT)


def drawn(widget: QWidget, within: QRect | None = None) -> float:
    """The contrast of the ground, which most pixels have, with what stands out most from it."""
    image = widget.grab(widget.rect() if within is None else within).toImage()
    return contrast_in(image)


def contrast_in(image: QImage) -> float:
    pixels: dict[int, int] = {}
    for y in range(image.height()):
        for x in range(image.width()):
            rgb = image.pixel(x, y)
            pixels[rgb] = pixels.get(rgb, 0) + 1
    ground = QColor(max(pixels, key=lambda rgb: pixels[rgb]))
    return max(contrast(QColor(rgb), ground) for rgb in pixels)


def inside(widget: QWidget) -> QRect:
    """Without its border."""
    return widget.rect().adjusted(5, 5, -5, -5)


@pytest.mark.parametrize("enabled", [True, False])
def test_placeholders_can_be_read(qtbot: QtBot, enabled: bool) -> None:
    box = QComboBox()
    box.setEditable(True)
    line = QLineEdit()
    own = box.lineEdit()
    assert own is not None
    text = QPlainTextEdit()
    for field in (line, own, text):
        field.setPlaceholderText("MMMM")
    for widget in (line, box, text):
        qtbot.addWidget(widget)
        widget.setEnabled(enabled)
        widget.resize(240, 80)
        widget.show()
    for field in (line, own, text):
        assert drawn(field, inside(field)) >= LEGIBLE, type(field)


@pytest.mark.parametrize("kind", ["plain", "default", "leading", "tool", "chosen tool"])
def test_buttons_that_cannot_be_pressed_can_be_read(qtbot: QtBot, kind: str) -> None:
    dialog = QDialog()
    qtbot.addWidget(dialog)
    button = QToolButton(dialog) if "tool" in kind else QPushButton(dialog)
    button.setText("MMMM")
    if isinstance(button, QPushButton):
        button.setDefault(kind == "default")
    button.setCheckable(kind == "chosen tool")
    button.setChecked(kind == "chosen tool")
    button.setProperty("leading", kind == "leading")
    button.setEnabled(False)
    button.resize(button.sizeHint())
    dialog.show()
    assert drawn(button, inside(button)) >= LEGIBLE


def test_every_day_of_a_calendar_can_be_read_and_weekends_look_as_open(qtbot: QtBot) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    locale = QLocale(QLocale.Language.English, QLocale.Country.UnitedStates)
    popup = CalendarPopup(locale, date(2026, 11, 18), date(2026, 11, 18), parent)
    popup.adjustSize()
    popup.show()
    table = popup.month.findChild(QAbstractItemView)
    assert isinstance(table, QAbstractItemView)
    model = table.model()
    # A line of weekdays, then six weeks; Sunday and Saturday are at the ends of each.
    for row in range(model.rowCount()):
        cells = [
            drawn(table.viewport(), table.visualRect(model.index(row, column)))
            for column in range(model.columnCount())
        ]
        assert min(cells) >= LEGIBLE, row
    week = [
        table.visualRect(model.index(2, column)).adjusted(2, 2, -2, -2)
        for column in range(model.columnCount())
    ]
    each = [drawn(table.viewport(), cell) for cell in week]
    assert max(each) == pytest.approx(min(each), rel=0.02)

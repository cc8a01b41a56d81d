"""At 200 % and in high contrast no page or dialog cuts text off that cannot be scrolled to."""

from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.message_bar import _OneLine
from ripenroom.window.shell.page_stack import PAGES
from ripenroom.window.theme import Look
from tests.accessible import called
from tests.pictured_dialogs import copies
from tests.window.test_letters import every_dialog

_ROUNDED_PX = 2
"""Layouts give whole pixels."""


@pytest.fixture
def large(qtbot: QtBot, window: MainWindow) -> Iterator[MainWindow]:
    """The window at twice the size of letters, in high contrast, with its plan made."""
    session = window.session
    assert session is not None
    session.plans.begin()
    qtbot.waitUntil(lambda: session.plans.plan is not None, timeout=60_000)
    window.appearance.set_text_percent(200)
    window.appearance.set_look(Look.HIGH_CONTRAST)
    for _ in range(5):  # what is shown takes its larger size first
        QApplication.processEvents()
    window.resize(1024, 700)
    yield window
    window.appearance.set_text_percent(100)
    window.appearance.set_look(Look.LIGHT)


def cut_off(root: QWidget) -> list[str]:
    """What is not shown whole, and cannot be scrolled to."""
    for _ in range(5):
        QApplication.processEvents()
    kinds = QLabel | QAbstractButton | QLineEdit | QComboBox
    shown = [w for w in root.findChildren(QWidget) if w.isVisible() and isinstance(w, kinds)]
    short = [f"{called(w)} has too little room" for w in shown if too_small(w)]
    return short + [f"{called(w)} lies outside" for w in shown if lies_outside(w, root)]


def too_small(widget: QWidget) -> bool:
    """Whether a text has less room than it takes, and nothing else says it whole."""
    if isinstance(widget, _OneLine):  # it may be as long as the path of a file
        return not widget.toolTip()
    if isinstance(widget, QLabel) and widget.text():
        if widget.wordWrap():
            return widget.height() + _ROUNDED_PX < widget.heightForWidth(widget.width())
        return widget.width() + _ROUNDED_PX < widget.sizeHint().width()
    if isinstance(widget, QAbstractButton) and widget.text():
        text = widget.text().replace("&", "")
        return widget.width() < widget.fontMetrics().horizontalAdvance(text)
    return False


def lies_outside(widget: QWidget, root: QWidget) -> bool:
    """Whether a part of a widget lies where a parent ends, and no bar scrolls it in."""
    down = across = True  # directions in which nothing between has scrolled so far
    at = widget
    while at is not root:
        parent = at.parentWidget()
        assert parent is not None
        area = parent.parentWidget()
        if isinstance(parent, QAbstractItemView):
            return False
        if isinstance(area, QAbstractScrollArea) and area.viewport() is parent:
            off = Qt.ScrollBarPolicy.ScrollBarAlwaysOff
            down = down and area.verticalScrollBarPolicy() == off
            across = across and area.horizontalScrollBarPolicy() == off
        room = parent.rect().adjusted(-_ROUNDED_PX, -_ROUNDED_PX, _ROUNDED_PX, _ROUNDED_PX)
        place = QRect(widget.mapTo(parent, QPoint()), widget.size())
        if down and not (room.top() <= place.top() and place.bottom() <= room.bottom()):
            return True
        if across and not (room.left() <= place.left() and place.right() <= room.right()):
            return True
        at = parent
    return False


def test_no_page_cuts_text_off(large: MainWindow) -> None:
    desk = large.desk
    assert desk is not None
    found: list[str] = []
    for name in PAGES:
        desk.go_to(name)
        found += [f"{name}: {text}" for text in cut_off(large)]
        assert (large.width(), large.height()) == (1024, 700)
    assert not found, "\n".join(found)


@pytest.mark.long
@pytest.mark.usefixtures("some_batches")
def test_no_dialog_cuts_text_off(qtbot: QtBot, large: MainWindow, tmp_path: Path) -> None:
    session = large.session
    assert session is not None
    found: list[str] = []
    made = chain(every_dialog(qtbot, large, tmp_path), copies(session, tmp_path, large))
    for name, make in made:
        dialog = make()
        dialog.resize(dialog.size().boundedTo(large.size()))
        dialog.show()
        found += [f"{name}: {text}" for text in cut_off(dialog)]
        dialog.close()
        dialog.deleteLater()
    assert not found, "\n".join(found)


def test_what_is_cut_off_is_found(qtbot: QtBot) -> None:
    root = QWidget()
    qtbot.addWidget(root)
    root.resize(200, 100)
    label = QLabel("A sentence that is longer than two hundred pixels in any font", root)
    root.show()
    label.resize(190, 20)
    assert cut_off(root) == [f"{called(label)} has too little room"]
    label.resize(label.sizeHint())
    assert cut_off(root) == [f"{called(label)} lies outside"]
    label.setText("Short")
    label.resize(label.sizeHint())
    assert cut_off(root) == []

"""The window of a language that is read from right to left: begun there, whole, and in its order.

There is no such language yet; an invented one has letters that run so.
"""

from collections.abc import Iterator
from itertools import chain, combinations
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QAbstractSlider,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QTabBar,
    QWidget,
)
from pytestqt.qtbot import QtBot

from ripenroom import texts
from ripenroom.window.main_window import MainWindow
from ripenroom.window.queue.page import QueuePage
from ripenroom.window.shell.page_stack import PAGES
from tests.accessible import called
from tests.catalogue.pseudo import pseudo_from_the_right, pseudo_texts
from tests.pictured_dialogs import copies
from tests.window.planned import planned
from tests.window.test_large_text import cut_off
from tests.window.test_letters import every_dialog


@pytest.fixture(autouse=True)
def from_the_right(qapp: QApplication) -> Iterator[None]:
    texts.use(pseudo_texts(pseudo_from_the_right))
    qapp.setLayoutDirection(Qt.LayoutDirection.RightToLeft)
    yield
    qapp.setLayoutDirection(Qt.LayoutDirection.LeftToRight)
    texts.use_language("en")


def overlapping(root: QWidget) -> list[str]:
    """Controls and texts that lie over each other."""
    kinds = QLabel | QAbstractButton | QLineEdit | QComboBox | QAbstractSlider | QAbstractItemView
    shown = [
        widget
        for widget in root.findChildren(QWidget)
        if isinstance(widget, kinds | QTabBar) and widget.isVisible() and widget.window() is root
    ]
    found = []
    for one, other in combinations(shown, 2):
        if one.isAncestorOf(other) or other.isAncestorOf(one):
            continue
        shared = seen(one, root).intersected(seen(other, root))
        if shared.width() > 1 and shared.height() > 1:
            found.append(f"{called(one)} and {called(other)} lie over each other")
    return found


def seen(widget: QWidget, root: QWidget) -> QRect:
    """Where a part of the window is seen, as far as what scrolls around it shows it."""
    rect = QRect(widget.mapTo(root, QPoint()), widget.size())
    at = widget.parentWidget()
    while at is not None and at is not root:
        rect = rect.intersected(QRect(at.mapTo(root, QPoint()), at.size()))
        at = at.parentWidget()
    return rect


def begun_elsewhere(root: QWidget) -> list[str]:
    """Labels in which a line of text does not begin at the right."""
    centred = Qt.AlignmentFlag.AlignHCenter
    return [
        f"{called(label)} begins elsewhere"
        for label in root.findChildren(QLabel)
        if label.isVisible() and label.text() and label.pixmap().isNull()
        if not label.alignment() & centred and inked_from(label) > _INDENT_PX
    ]


_INDENT_PX = 20
"""Margins, an indent and the blank of a broken line."""


def inked_from(label: QLabel) -> int:
    """Pixels between the right edge of a label and its text."""
    image = label.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
    shades = np.array(image.constBits()).reshape(image.height(), image.bytesPerLine())
    shades = shades[:, : image.width()].astype(int)
    ink = np.abs(shades - shades[0, 0]).max(axis=0) > 40
    return int(np.argmax(ink[::-1])) if ink.any() else 0


@pytest.mark.long
def test_every_page_is_whole_and_begins_at_the_right(qtbot: QtBot, window: MainWindow) -> None:
    session, desk = window.session, window.desk
    assert session is not None
    assert desk is not None
    planned(qtbot, session)
    found: list[str] = []
    for name in PAGES:
        desk.go_to(name)
        said = (*cut_off(window), *overlapping(window), *begun_elsewhere(window))
        found += [f"{name}: {text}" for text in said]
        assert (window.width(), window.height()) == (1024, 700)
    assert not found, "\n".join(found)


@pytest.mark.long
def test_every_dialog_is_whole(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> None:
    session = window.session
    assert session is not None
    planned(qtbot, session)
    found: list[str] = []
    for name, make in chain(
        every_dialog(qtbot, window, tmp_path), copies(session, tmp_path, window)
    ):
        dialog = make()
        dialog.resize(dialog.size().boundedTo(window.size()))
        dialog.show()
        found += [f"{name}: {text}" for text in (*cut_off(dialog), *overlapping(dialog))]
        dialog.close()
        dialog.deleteLater()
    assert not found, "\n".join(found)


def test_buttons_follow_one_another_from_the_right(window: MainWindow) -> None:
    desk = window.desk
    assert desk is not None
    desk.go_to("market_days")
    QApplication.processEvents()
    bar = [b for b in desk.page("market_days").findChildren(QPushButton) if b.isVisible()]
    first_row = [button for button in bar if button.y() == bar[0].y()]
    assert len(first_row) > 3
    rights = [button.geometry().right() for button in first_row]
    assert rights == sorted(rights, reverse=True)
    assert rights[0] > desk.page("market_days").rect().right() - _INDENT_PX - 1


def test_time_still_runs_from_left_to_right(qtbot: QtBot, window: MainWindow) -> None:
    """The queue is drawn as in any language: names, then days, the next one to the right."""
    session, desk = window.session, window.desk
    assert session is not None
    assert desk is not None
    planned(qtbot, session)
    desk.go_to("queue")
    page = desk.page("queue")
    assert isinstance(page, QueuePage)
    QApplication.processEvents()
    canvas = page.canvas
    assert canvas.layoutDirection() == Qt.LayoutDirection.LeftToRight
    # Its names begin at the left edge, as the picture has them, and not at the end of a column.
    image = canvas.viewport().grab().toImage()
    assert image == drawn_from_left(canvas)


def drawn_from_left(canvas: QAbstractScrollArea) -> QImage:
    """The same picture of the same texts where the window is one from left to right."""
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    app.setLayoutDirection(Qt.LayoutDirection.LeftToRight)
    QApplication.processEvents()
    return canvas.viewport().grab().toImage()

"""Qt's bindings must hand back every reference of ``None`` they borrow.

PySide6 6.12.0 on Python 3.11 lost one at each call of a method without a result, and the
program died once ``None`` had none left: after a few dozen repaints, long after any short test.
From 3.12 on ``None`` is never freed. While this test fails with a newer PySide6, the cap in
pyproject.toml stays.
"""

import sys
from collections.abc import Callable

import pytest
from PySide6.QtCore import QObject, QPointF, QRectF, QTimer
from PySide6.QtGui import QColor, QImage, QPainter, QPen
from PySide6.QtWidgets import QLabel, QLineEdit, QPlainTextEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

CALLS = 2_000
ALLOWED_DRIFT = 100
"""References that other code may gain or lose meanwhile; a leak moves ``CALLS`` of them."""

SPARE = [None] * 40 * CALLS
"""Holds enough references that a leak fails the test instead of ending the process."""

pytestmark = pytest.mark.skipif(
    sys.version_info >= (3, 12), reason="None is immortal from Python 3.12 on"
)


def drift_of_none(call: Callable[[], object]) -> int:
    """The least of three: a call that loses one does so each time, what ends meanwhile does not."""
    drifts = []
    for _ in range(3):
        before = sys.getrefcount(None)
        for _ in range(CALLS):
            call()
        drifts.append(sys.getrefcount(None) - before)
    return min(drifts, key=abs)


def test_text_and_layout_calls_keep_none(qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    layout = QVBoxLayout(window)
    label, line, notes = QLabel(window), QLineEdit(window), QPlainTextEdit(window)
    calls: dict[str, Callable[[], object]] = {
        "QLabel.setText": lambda: label.setText("ready"),
        "QWidget.setToolTip": lambda: label.setToolTip("ready"),
        "QWidget.setAccessibleName": lambda: label.setAccessibleName("ready"),
        "QWidget.setEnabled": lambda: label.setEnabled(True),
        "QWidget.update": lambda: label.update(),
        "QLineEdit.setText": lambda: line.setText("12"),
        "QPlainTextEdit.setPlainText": lambda: notes.setPlainText("a note"),
        "QVBoxLayout.addWidget": lambda: layout.addWidget(label),
        "QObject.setObjectName": lambda: window.setObjectName("shelf"),
    }
    assert_all_keep_none(calls)


def test_painter_calls_keep_none(qapp: QObject) -> None:
    image = QImage(64, 64, QImage.Format.Format_ARGB32)
    image.fill(0)
    pen, colour = QPen(QColor("black")), QColor("white")
    start, end, box = QPointF(0, 0), QPointF(9, 9), QRectF(1, 1, 8, 8)
    painter = QPainter(image)
    calls: dict[str, Callable[[], object]] = {
        "QPainter.setPen": lambda: painter.setPen(pen),
        "QPainter.setBrush": lambda: painter.setBrush(colour),
        "QPainter.drawLine": lambda: painter.drawLine(start, end),
        "QPainter.fillRect": lambda: painter.fillRect(box, colour),
        "QPainter.drawRect": lambda: painter.drawRect(box),
        "QPainter.drawText": lambda: painter.drawText(start, "a"),
        "QPainter.translate": lambda: painter.translate(0.0, 0.0),
        "QPainter.setOpacity": lambda: painter.setOpacity(1.0),
    }
    try:
        assert_all_keep_none(calls)
    finally:
        painter.end()


def test_timer_calls_keep_none(qapp: QObject) -> None:
    timer = QTimer()
    calls: dict[str, Callable[[], object]] = {
        "QTimer.setInterval": lambda: timer.setInterval(1_000),
        "QTimer.start": lambda: timer.start(1_000),
        "QTimer.stop": lambda: timer.stop(),
    }
    assert_all_keep_none(calls)


def assert_all_keep_none(calls: dict[str, Callable[[], object]]) -> None:
    drifts = {name: drift_of_none(call) for name, call in calls.items()}
    losing = {name: drift for name, drift in drifts.items() if abs(drift) > ALLOWED_DRIFT}
    assert not losing, f"references of None gained or lost in {CALLS} calls: {losing}"

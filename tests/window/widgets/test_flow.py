"""Widgets flow into as many rows as the width asks for."""

from PySide6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.widgets.layouts import FlowLayout


def flowing(qtbot: QtBot, width: int) -> tuple[QWidget, list[QLabel]]:
    widget = QWidget()
    qtbot.addWidget(widget)
    layout = FlowLayout(widget, spacing=10)
    labels = [QLabel(f"label {n}", widget) for n in range(4)]
    for label in labels:
        label.setFixedSize(100, 20)
        layout.addWidget(label)
    widget.resize(width, 200)
    widget.show()
    return widget, labels


def test_one_row_where_there_is_room(qtbot: QtBot) -> None:
    _, labels = flowing(qtbot, 500)
    assert [label.x() for label in labels] == [0, 110, 220, 330]
    assert {label.y() for label in labels} == {0}


def test_rows_where_there_is_not(qtbot: QtBot) -> None:
    widget, labels = flowing(qtbot, 220)
    assert [(label.x(), label.y()) for label in labels] == [(0, 0), (110, 0), (0, 30), (110, 30)]
    layout = widget.layout()
    assert layout is not None
    assert layout.heightForWidth(220) == 50
    assert layout.minimumSize().width() == 100


def test_hidden_widgets_take_no_room(qtbot: QtBot) -> None:
    widget, labels = flowing(qtbot, 500)
    labels[1].hide()
    layout = widget.layout()
    assert layout is not None
    layout.activate()
    assert labels[2].x() == 110

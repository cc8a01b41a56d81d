"""Where the present moment is named."""

from PySide6.QtGui import QFont
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.layout import Layout, Sizes, lay_out
from ripenroom.window.queue.paint_background import now_box


def layout_of() -> Layout:
    return lay_out(1000.0, 500.0, Sizes.of(QFont()), 300.0, 2, compact=False)


def test_the_name_stands_at_the_line(qtbot: QtBot) -> None:
    layout = layout_of()
    box = now_box(layout, 120.0, 70.0, 14.0)
    assert box.left() == layout.lines.x() + 120.0
    assert layout.header.contains(box)


def test_at_the_right_edge_it_stays_inside(qtbot: QtBot) -> None:
    layout = layout_of()
    box = now_box(layout, layout.lines.width() - 3.0, 70.0, 14.0)
    assert box.right() <= layout.header.right()


def test_out_of_sight_there_is_none(qtbot: QtBot) -> None:
    assert now_box(layout_of(), -30.0, 70.0, 14.0).isEmpty()
    assert now_box(layout_of(), 5000.0, 70.0, 14.0).isEmpty()

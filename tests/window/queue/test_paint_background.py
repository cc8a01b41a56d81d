"""Where the present moment is named."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.layout import Layout, Sizes, lay_out
from ripenroom.window.queue.paint_background import Span, name_now

TEXTS = ("now, 07:30", "now")


def layout_of() -> Layout:
    return lay_out(1000.0, 500.0, Sizes.of(QFont()), 300.0, 2, compact=False)


def named(now_x: float, heads: Sequence[Span] = ()) -> tuple[str, QRectF]:
    """With letters of 6 px: 70 and 28 px wide."""
    return name_now(layout_of(), now_x, TEXTS, lambda text: 6.0 * len(text), 14.0, heads)


def test_the_name_stands_at_the_line(qtbot: QtBot) -> None:
    layout = layout_of()
    text, box = named(120.0)
    assert text == TEXTS[0]
    assert box.left() == layout.lines.x() + 120.0
    assert layout.header.contains(box)


def test_at_the_right_edge_it_stays_inside(qtbot: QtBot) -> None:
    layout = layout_of()
    _, box = named(layout.lines.width() - 3.0)
    assert box.right() <= layout.header.right()


def test_out_of_sight_there_is_none(qtbot: QtBot) -> None:
    assert named(-30.0)[1].isEmpty()
    assert named(5000.0)[1].isEmpty()


def test_it_covers_no_head_of_a_market_day(qtbot: QtBot) -> None:
    start = layout_of().lines.x()
    text, box = named(120.0, [(165.0, 190.0), (190.0, 215.0)])
    assert (text, box.right() - start) == (TEXTS[0], 120.0)
    # One on either side: shorter, where that is enough.
    text, box = named(120.0, [(60.0, 85.0), (165.0, 190.0)])
    assert (text, box.left() - start) == (TEXTS[1], 120.0)
    text, box = named(120.0, [(60.0, 85.0), (140.0, 165.0)])
    assert (text, box.right() - start) == (TEXTS[1], 120.0)


def test_on_a_market_day_it_stands_where_it_covers_least_of_it(qtbot: QtBot) -> None:
    start = layout_of().lines.x()
    _, box = named(120.0, [(110.0, 160.0)])
    assert box.right() - start == 120.0

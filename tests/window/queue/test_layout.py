"""The parts of the queue at any size, and with any text size."""

import pytest
from PySide6.QtGui import QFont
from pytestqt.qtbot import QtBot

from ripenroom.window.queue.layout import LABEL_FOOT_PX, Sizes, lay_out


@pytest.mark.parametrize("points", [9.0, 10.0, 20.0])
@pytest.mark.parametrize(("width", "height"), [(800.0, 420.0), (1366.0, 700.0), (1920.0, 1100.0)])
def test_most_of_the_picture_is_lines(
    qtbot: QtBot, points: float, width: float, height: float
) -> None:
    font = QFont()
    font.setPointSizeF(points)
    layout = lay_out(width, height, Sizes.of(font), 400.0, 3, compact=False)
    assert layout.lines.width() >= 0.54 * width
    assert layout.lines.height() >= 0.5 * height
    assert layout.header.bottom() == layout.lines.top() == layout.names.top()
    assert layout.names.right() == layout.lines.left() == layout.header.left()
    assert layout.labels_px + layout.axis_px == pytest.approx(layout.header.height())


def test_a_compact_queue_leaves_more_for_lines(qtbot: QtBot) -> None:
    sizes = Sizes.of(QFont())
    whole = lay_out(1000.0, 1000.0, sizes, 300.0, 3, compact=False)
    compact = lay_out(1000.0, 1000.0, sizes, 300.0, 3, compact=True)
    assert compact.lines.height() > whole.lines.height()


def test_a_low_queue_names_market_days_and_leaves_no_empty_band(qtbot: QtBot) -> None:
    sizes = Sizes.of(QFont())
    low, high = (lay_out(1000.0, height, sizes, 300.0, 3, False) for height in (400.0, 1200.0))
    assert low.labels_px == pytest.approx(2 * (sizes.small_px + LABEL_FOOT_PX), abs=1.0)
    assert high.labels_px == pytest.approx(low.labels_px + 3 * sizes.small_px, abs=1.0)
    one = lay_out(1000.0, 400.0, sizes, 300.0, 3, False, market_days=1)
    assert one.labels_px < low.labels_px - sizes.small_px / 2


def test_lines_grow_with_the_text(qtbot: QtBot) -> None:
    small, large = QFont(), QFont()
    small.setPointSizeF(10.0)
    large.setPointSizeF(20.0)
    assert Sizes.of(large).line_px > 1.6 * Sizes.of(small).line_px

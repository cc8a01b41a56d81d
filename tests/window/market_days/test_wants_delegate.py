"""The painted column: nothing cut while there is room."""

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from ripenroom.window.market_days.page import MarketDaysPage
from ripenroom.window.market_days.table import Column
from ripenroom.window.market_days.wants_delegate import Columns
from ripenroom.window.session import Session


def test_texts_keep_their_widths_and_the_bar_takes_what_is_left() -> None:
    bar, cells = Columns(80.0, 150.0, 120.0, 100.0, 50.0).cells(QRectF(10, 5, 700, 20))
    assert [cell.width() for cell in cells] == [80.0, 150.0, 120.0, 100.0]
    assert bar.left() == cells[1].right()
    assert bar.width() > 150.0
    assert cells[2].left() > bar.right()
    assert cells[3].right() <= 710.0


def test_without_room_there_is_no_bar_and_nothing_runs_out_of_the_cell() -> None:
    bar, cells = Columns(80.0, 150.0, 120.0, 100.0, 50.0).cells(QRectF(10, 5, 400, 20))
    assert bar.width() == 0.0
    assert cells[3].right() <= 410.0


@pytest.mark.parametrize("width", [520, 760, 1024, 1500])
def test_rows_are_high_enough_for_every_want(qtbot: QtBot, session: Session, width: int) -> None:
    page = MarketDaysPage(session)
    qtbot.addWidget(page)
    page.resize(width, 600)
    page.show()
    line_px = page.view.fontMetrics().height()
    for row, line in enumerate(page.model.lines):
        assert page.view.rowHeight(row) >= line_px * max(len(line.wants), 2)
    rect = page.view.visualRect(page.model.index(0, Column.WANTS))
    image = page.view.viewport().grab(rect).toImage()
    background = image.pixelColor(1, 1)
    assert any(
        image.pixelColor(x, y) != background and QColor(image.pixelColor(x, y)).lightness() < 120
        for x in range(0, image.width(), 3)
        for y in range(0, image.height(), 3)
    )


def test_what_does_not_fit_into_one_line_takes_two() -> None:
    columns = Columns(80.0, 150.0, 120.0, 100.0, 50.0)
    assert columns.lines(450.0) == 1
    assert columns.lines(449.0) == 2
    bar, (crop, wanted, ready, said) = columns.cells(QRectF(10, 5, 320, 20))
    assert bar.isEmpty()
    assert crop.top() == wanted.top() == 5.0
    assert ready.top() == said.top() == 25.0
    assert max(wanted.right(), said.right()) <= 330.0
    assert said.width() >= 100.0

"""The painted column: nothing cut while there is room."""

import pytest
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from ripenroom.window.market_days.page import MarketDaysPage
from ripenroom.window.market_days.table import Column
from ripenroom.window.session import Session
from tests.window.planned import planned


@pytest.mark.parametrize("width", [520, 760, 1024, 1500])
def test_rows_are_high_enough_for_every_want(qtbot: QtBot, session: Session, width: int) -> None:
    page = MarketDaysPage(session)
    qtbot.addWidget(page)
    page.resize(width, 600)
    page.show()
    line_px = page.view.fontMetrics().height()
    for row, line in enumerate(page.model.rows):
        assert page.view.rowHeight(row) >= line_px * max(len(line.wants), 2)
    rect = page.view.visualRect(page.model.index(0, Column.WANTS))
    image = page.view.viewport().grab(rect).toImage()
    background = image.pixelColor(1, 1)
    assert any(
        image.pixelColor(x, y) != background and QColor(image.pixelColor(x, y)).lightness() < 120
        for x in range(0, image.width(), 3)
        for y in range(0, image.height(), 3)
    )


def test_a_plan_adds_what_is_planned_and_the_risk(qtbot: QtBot, session: Session) -> None:
    page = MarketDaysPage(session)
    qtbot.addWidget(page)
    page.resize(1400, 700)
    page.show()
    before = page.view.grab().toImage()
    planned(qtbot, session)
    said = str(page.model.index(0, Column.WANTS).data())
    assert "planned" in said
    assert "risk" in said
    assert "expected sales: about" in said
    assert page.view.grab().toImage() != before
    page.view.selectRow(0)
    assert page.view.rowHeight(0) >= page.view.fontMetrics().height() * len(said.splitlines())


def test_a_narrow_page_folds_day_and_place_into_one_column(qtbot: QtBot, session: Session) -> None:
    page = MarketDaysPage(session)
    qtbot.addWidget(page)
    page.resize(1400, 700)
    page.show()
    assert not page.view.isColumnHidden(Column.WHERE)
    page.resize(520, 600)
    assert page.view.isColumnHidden(Column.WHERE)
    assert page.model.rows[0].day.name in str(page.model.index(0, Column.DAY).data())
    page.resize(1400, 700)
    assert not page.view.isColumnHidden(Column.WHERE)

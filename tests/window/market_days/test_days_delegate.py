"""Day and place cells of two lines."""

from pytestqt.qtbot import QtBot

from ripenroom.window.market_days.page import MarketDaysPage
from ripenroom.window.market_days.table import Column
from ripenroom.window.session import Session


def test_columns_show_their_texts_whole(qtbot: QtBot, session: Session) -> None:
    page = MarketDaysPage(session)
    qtbot.addWidget(page)
    page.resize(1024, 700)
    page.show()
    metrics = page.view.fontMetrics()
    for column in (Column.DAY, Column.WHERE):
        for row in range(page.model.rowCount()):
            lines = str(page.model.index(row, column).data()).split("\n")
            assert len(lines) == 2
            widest = max(metrics.horizontalAdvance(line) for line in lines)
            assert page.view.columnWidth(column) > widest


def test_what_is_over_is_painted_fainter(qtbot: QtBot, session: Session) -> None:
    page = MarketDaysPage(session)
    qtbot.addWidget(page)
    page.resize(1024, 900)
    page.show()
    page.view.clearSelection()
    over = next(n for n, line in enumerate(page.model.rows) if line.over)

    def darkest(row: int) -> int:
        rect = page.view.visualRect(page.model.index(row, Column.WHERE))
        image = page.view.viewport().grab(rect).toImage()
        return min(
            image.pixelColor(x, y).lightness()
            for x in range(image.width())
            for y in range(image.height() // 2)
        )

    assert darkest(over) > darkest(1) + 15

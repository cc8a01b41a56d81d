"""How much of the season is seen in windows of usual sizes, with letters of usual sizes."""

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QStyle, QTableView, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.main_window import MainWindow
from ripenroom.window.page import Page
from ripenroom.window.picks.page import PicksPage
from ripenroom.window.plan.itinerary_table import Column as PlanColumn
from ripenroom.window.plan.page import PlanPage
from ripenroom.window.queue.page import QueuePage
from ripenroom.window.rows.page import RowsPage
from ripenroom.window.rows.table import Column as RowsColumn
from tests.draws import one_in
from tests.window.planned import at_rest, planned

Open = Callable[[str, int, tuple[int, int]], Page]

SMALL, LAPTOP, DESKTOP = (1024, 700), (1366, 768), (1920, 1080)


@pytest.fixture
def open_page(qtbot: QtBot, window: MainWindow) -> Iterator[Open]:
    """Opens a page of the practice season, once it is planned, at a size of letters, in a window of
    a size."""
    assert window.desk is not None
    session = window.desk.session
    planned(qtbot, session)
    at_rest(qtbot, session)  # else lines may change while they are counted

    def opened(name: str, text_percent: int, size: tuple[int, int]) -> Page:
        window.appearance.set_text_percent(text_percent)
        settle()
        window.resize(*size)
        desk = window.desk
        assert desk is not None
        desk.go_to(name)
        settle()
        assert window.size().toTuple() == size
        return desk.page(name)

    yield opened
    window.appearance.set_text_percent(100)


def settle() -> None:
    """Let layouts come to rest."""
    for _ in range(5):
        QApplication.processEvents()


def in_sight(widget: QWidget) -> QRect:
    """The part of a widget that can be seen without scrolling the page."""
    return widget.visibleRegion().boundingRect()


def rows_in_sight(table: QTableView) -> int:
    """Rows of a table that are seen whole."""
    seen = in_sight(table.viewport())
    rects = (
        QRect(0, table.rowViewportPosition(row), 1, table.rowHeight(row))
        for row in range(table.model().rowCount())
    )
    return sum(seen.contains(rect) for rect in rects)


def lines_in_sight(page: QueuePage) -> int:
    """Lines of the queue that are seen whole."""
    canvas = page.canvas
    assert canvas.scene is not None
    area, seen = canvas.layout_now().lines, in_sight(canvas.viewport())
    room = min(area.bottom(), seen.bottom() + 1.0) - max(area.top(), float(seen.top()))
    return min(int(room // canvas.sizes.line_px), canvas.scene.rows)


def whole_cells(table: QTableView, column: int) -> bool:
    """Whether a column is shown, in sight, and cuts no text off."""
    if table.isColumnHidden(column):
        return False
    left, wide = table.columnViewportPosition(column), table.columnWidth(column)
    inside = left >= 0 and left + wide <= table.viewport().width()
    return inside and wide >= table.sizeHintForColumn(column)


Least = list[tuple[int, tuple[int, int], int]]
"""Of letters (per cent) in a window of a size: how many lines at least are seen whole."""

ON_PICKS: Least = [
    (100, SMALL, 7),
    (100, LAPTOP, 9),
    (100, DESKTOP, 18),
    (150, SMALL, 6),
    (150, LAPTOP, 7),
    (200, LAPTOP, 2),
]
ON_THE_QUEUE: Least = [
    (100, SMALL, 9),
    (100, LAPTOP, 11),
    (100, DESKTOP, 19),
    (150, SMALL, 6),
    (150, LAPTOP, 6),
    (200, LAPTOP, 4),
]
ON_ROWS: Least = [
    (100, SMALL, 5),
    (100, LAPTOP, 7),
    (100, DESKTOP, 7),
    (150, SMALL, 4),
    (150, LAPTOP, 4),
]


def test_batches_in_sight_on_picks(open_page: Open, subtests: pytest.Subtests) -> None:
    for text_percent, size, least in ON_PICKS:
        page = open_page("picks", text_percent, size)
        assert isinstance(page, PicksPage)
        with subtests.test(text_percent=text_percent, size=size):
            assert rows_in_sight(page.list.table) >= least
            # Not at the cost of the form: the line for counts and the button are there.
            for widget in (page.form.fields.counts_line, page.form.add_button):
                assert in_sight(widget) == widget.rect()


def test_batches_in_sight_on_the_queue(open_page: Open, subtests: pytest.Subtests) -> None:
    """In one window: what it was before does not count."""
    for text_percent, size, least in ON_THE_QUEUE:
        page = open_page("queue", text_percent, size)
        assert isinstance(page, QueuePage)
        with subtests.test(text_percent=text_percent, size=size):
            assert lines_in_sight(page) >= least


def test_rows_of_trees_in_sight(open_page: Open, subtests: pytest.Subtests) -> None:
    for text_percent, size, least in ON_ROWS:
        page = open_page("rows", text_percent, size)
        assert isinstance(page, RowsPage)
        with subtests.test(text_percent=text_percent, size=size):
            assert rows_in_sight(page.view) >= least
            for column in (RowsColumn.ROW, RowsColumn.TO_PICK, RowsColumn.WALK):
                assert whole_cells(page.view, column), column


@pytest.mark.usefixtures("some_batches")
@pytest.mark.parametrize(
    ("text_percent", "size"), one_in(3, [(100, SMALL), (150, LAPTOP), (150, SMALL)])
)
def test_what_is_done_with_batches_stands_in_one_row(
    open_page: Open, text_percent: int, size: tuple[int, int]
) -> None:
    page = open_page("picks", text_percent, size)
    assert isinstance(page, PicksPage)
    listed = page.list
    buttons = [button for button in listed.findChildren(QPushButton) if button.isVisible()]
    assert len(buttons) == 7
    assert {button.y() for button in buttons} == {listed.finder.y()}


@pytest.mark.usefixtures("some_batches")
def test_what_a_low_page_leaves_out_is_said_elsewhere(open_page: Open) -> None:
    page = open_page("picks", 150, SMALL)
    assert isinstance(page, PicksPage)
    assert not page.expected.isVisible()
    assert page.expected.text() in page.expected.button.toolTip()
    open_page("picks", 100, SMALL)
    assert page.expected.isVisible()


@pytest.mark.usefixtures("some_batches")
def test_marks_of_a_low_queue_are_explained_when_asked_for(open_page: Open) -> None:
    page = open_page("queue", 150, SMALL)
    assert isinstance(page, QueuePage)
    assert not page.legend.first.isVisible()
    page.legend.all.click()
    assert page.legend.first.isVisible()
    page.legend.all.click()
    open_page("queue", 100, SMALL)
    assert page.legend.first.isVisible()


@pytest.mark.parametrize(
    ("text_percent", "size"),
    one_in(4, [(100, SMALL), (100, LAPTOP), (150, SMALL), (150, LAPTOP)]),
)
def test_every_crate_says_when_where_and_for_which_day(
    open_page: Open, text_percent: int, size: tuple[int, int]
) -> None:
    page = open_page("plan", text_percent, size)
    assert isinstance(page, PlanPage)
    page.tabs.setCurrentWidget(page.lines)
    settle()
    table = page.lines.table
    for column in (PlanColumn.CRATES, PlanColumn.PULL):
        assert whole_cells(table, column), column
    for column in (PlanColumn.BATCH, PlanColumn.TO, PlanColumn.MARKET):
        assert not table.isColumnHidden(column)
    assert table.isColumnHidden(PlanColumn.READY) is (text_percent > 100 and size == SMALL)
    letters, flags = table.fontMetrics(), int(Qt.TextFlag.TextWordWrap)
    margin = 2 * (table.style().pixelMetric(QStyle.PixelMetric.PM_FocusFrameHMargin) + 1)
    for column in PlanColumn:
        if table.isColumnHidden(column):
            continue
        for row in range(page.lines.model.rowCount()):
            text = str(page.lines.model.index(row, column).data() or "")
            room = QRect(0, 0, table.columnWidth(column) - margin, table.rowHeight(row))
            needs = letters.boundingRect(room, flags, text)
            assert needs.width() <= room.width(), text
            assert needs.height() <= room.height(), text
    assert not table.horizontalScrollBar().isVisible()
    assert not table.isColumnHidden(PlanColumn.FRUIT)


def test_a_wide_plan_stands_in_two_columns(open_page: Open) -> None:
    page = open_page("plan", 100, DESKTOP)
    assert isinstance(page, PlanPage)
    settle()
    overview = page.overview
    assert right_of(overview.risks, overview.table)
    open_page("plan", 100, LAPTOP)
    assert not right_of(overview.risks, overview.table)
    letter = overview.fontMetrics().horizontalAdvance("n")
    labels = [label for label in overview.findChildren(QLabel) if label.isVisible()]
    assert max(label.width() for label in labels) <= 150 * letter


def right_of(widget: QWidget, other: QWidget) -> bool:
    """Whether a widget begins where another has ended."""
    window = widget.window()
    return widget.mapTo(window, QPoint()).x() >= other.mapTo(window, other.rect().topRight()).x()


@pytest.mark.usefixtures("some_batches")
def test_a_wide_page_of_picks_shows_the_selected_batch(qtbot: QtBot, open_page: Open) -> None:
    page = open_page("picks", 100, DESKTOP)
    assert isinstance(page, PicksPage)
    chosen, listed = page.chosen, page.list
    assert right_of(chosen, listed.table)
    assert chosen.hint.isVisible()
    listed.table.selectRow(2)
    qtbot.waitUntil(chosen.title.isVisible)
    batch_id = listed.selected()[0]
    assert page.session.season.book.batches[batch_id].code in chosen.title.text()
    assert chosen.facts.rowCount() > 3
    assert chosen.chart is not None
    assert chosen.chart.isVisible()
    listed.table.selectAll()
    qtbot.waitUntil(chosen.hint.isVisible)
    assert not chosen.title.isVisible()
    open_page("picks", 100, LAPTOP)
    assert not chosen.isVisible()


@pytest.mark.usefixtures("some_batches")
def test_a_wide_page_of_rows_shows_the_selected_one_beside(open_page: Open) -> None:
    page = open_page("rows", 100, LAPTOP)
    assert isinstance(page, RowsPage)
    assert right_of(page.about, page.view)
    assert right_of(page.walks, page.view)
    open_page("rows", 100, SMALL)
    assert not right_of(page.about, page.view)

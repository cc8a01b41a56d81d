"""The page Review: what was learned, how forecasts held, what the fruit brought."""

import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.entry import CheckEntry
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.fruit_balance import BalanceRow
from ripenroom.season.learned import Estimate, LearnedLife, LearnedShare
from ripenroom.season.learning.calibration import Calibration, CheckedForecast, ForecastKind
from ripenroom.season.season import Season
from ripenroom.window.main_window import MainWindow
from ripenroom.window.review.lessons import begin_from, save_lessons
from ripenroom.window.review.page import ReviewPage
from ripenroom.window.session import Session
from ripenroom.window.widgets.table_view import TableView
from tests.season.writing import write

SLOW_MS = 30_000


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> ReviewPage:
    session.season.learn()
    made = ReviewPage(session)
    qtbot.addWidget(made)
    made.resize(1000, 700)
    made.show()
    return made


def texts(widget: QWidget) -> list[str]:
    return [label.text() for label in widget.findChildren(QLabel) if not label.isHidden()]


def test_it_is_reached_by_key_and_by_name(qtbot: QtBot, window: MainWindow) -> None:
    assert window.desk is not None
    window.desk.navigation.actions_by_name["review"].trigger()
    assert isinstance(window.desk.page("review"), ReviewPage)
    assert window.desk.current == "review"


def test_each_cultivar_is_told_against_the_book(page: ReviewPage, session: Session) -> None:
    told = texts(page.learned)
    assert "14 checks." in told
    assert "Early pawpaws" in told
    assert any("times as fast as usual" in t and "from 6 checks of 5" in t for t in told)
    check_id = next(iter(session.season.book.checks))
    session.season.do(actions.checks.count_in, check_id, False)
    assert "14 checks. 1 of them does not count." in texts(page.learned)


def test_how_much_can_ripen_is_told_in_one_sentence(page: ReviewPage, session: Session) -> None:
    learned = session.season.learned
    assert learned is not None
    share = LearnedShare("pawpaw", None, Estimate(0.94, 0.97, 0.99), 0.83)
    for by_book, said in ((0.83, "; usual is 83 %."), (0.965, ", as usual.")):
        shares = (replace(share, book=by_book),)
        session.season.take_in(replace(learned, shares=shares))
        page.learned.refresh()
        assert page.learned.shares.text() == f"Pawpaw: 97 % of the fruit can ripen (94–99 %){said}"
    session.season.take_in(replace(learned, shares=()))
    page.learned.refresh()
    assert page.learned.shares.isHidden()


def test_how_long_ripe_fruit_keeps_is_told_beside_what_is_usual(
    page: ReviewPage, session: Session
) -> None:
    learned = session.season.learned
    assert learned is not None
    life = LearnedLife("pawpaw", None, Estimate(2.1, 2.5, 3.0), 1.67, 20.0, 310, ())
    for usual, said in ((1.67, "; usual is 1.7."), (2.45, ", as usual.")):
        lives = (replace(life, book_days=usual),)
        session.season.take_in(replace(learned, shares=(), lives=lives))
        page.learned.refresh()
        told = f"Pawpaw: ripe fruit keeps 2.5 days at 20 °C (2.1 to 3.0){said}"
        assert page.learned.shares.text() == told


def test_why_nothing_was_learned_is_told(page: ReviewPage, session: Session) -> None:
    session.learning.failed = "It could not be worked out."
    session.learning.working_changed.emit()
    assert page.learned.summary.text().endswith("It could not be worked out.")


def test_a_check_that_contradicts_leads_to_its_batch(
    qtbot: QtBot, page: ReviewPage, session: Session
) -> None:
    season = session.season
    [batch] = [b for b in season.book.batches.values() if b.code == "A-0930-1"]
    season.do(
        actions.checks.add,
        CheckEntry(
            batch_id=batch.id,
            at=season.now() - timedelta(hours=1),
            feel_counts=(0, 0, 0, 0, 9),
            answered=frozenset({"surprise"}),
        ),
    )
    season.learn()
    [button] = [b for b in page.learned.findChildren(QPushButton) if "A-0930-1" in b.text()]
    assert "much softer" in button.text()
    with qtbot.waitSignal(page.openBatch) as opened:
        button.click()
    assert opened.args == [batch.id]


def test_past_forecasts_are_made_again_beside_the_window(
    qtbot: QtBot, page: ReviewPage, session: Session
) -> None:
    tab = page.forecasts
    assert tab.calibration is None
    page.tabs.setCurrentWidget(tab)
    qtbot.waitUntil(lambda: tab.calibration is not None, timeout=SLOW_MS)
    assert tab.calibration is not None
    checks = {
        row.source_id for row in tab.calibration.rows if row.outcome is not ForecastKind.MARKET
    }
    assert checks == set(session.season.book.checks)
    assert "forecasts held" in tab.summary.text()
    assert tab.chart.accessibleName() == tab.summary.text()
    made = tab.calibration
    page.tabs.setCurrentWidget(page.learned)
    page.tabs.setCurrentWidget(tab)
    assert tab.calibration is made  # nothing changed: nothing is worked out again


def test_the_worst_misses_lead_to_their_batches(
    qtbot: QtBot, page: ReviewPage, session: Session
) -> None:
    batch_id = next(iter(session.season.book.batches))
    rows = tuple(
        CheckedForecast(
            outcome,
            "x",
            batch_id,
            1000.0 + n,
            2,
            3,
            Estimate(0.2, 0.4, 0.6),
            observed,
            inside,
            z,
            1.0,
        )
        for n, (outcome, observed, inside, z) in enumerate(
            [(ForecastKind.FEEL, 0.9, False, 2.2), (ForecastKind.MARKET, 0.5, True, 0.4)]
        )
    )
    page.forecasts._show(Calibration(rows, 0.5, 1.3, (0, 1)))
    told = texts(page.forecasts)
    assert any("1 of 2 forecasts held" in t and "1.3 days earlier" in t for t in told)
    assert any("That is too few" in t for t in told)
    assert any("90 % felt “soft” or softer, expected 20–60 %" in t for t in told)
    [button] = [b for b in page.forecasts.findChildren(QPushButton) if b.text().startswith("Open")]
    with qtbot.waitSignal(page.openBatch) as opened:
        button.click()
    assert opened.args == [batch_id]


def cell(table: TableView[BalanceRow], row: int, column: int) -> str:
    return table.table.text(row, column)


def test_fruit_and_money_by_cultivar_and_row(page: ReviewPage, session: Session) -> None:
    page.tabs.setCurrentWidget(page.balance)
    assert "fruit picked" in page.balance.summary.text()
    assert "€" in page.balance.summary.text()
    book = session.season.book
    for table, names in (
        (page.balance.cultivars, {c.name for c in book.cultivars.values()}),
        (page.balance.rows, {row.name for row in book.rows.values()}),
    ):
        assert {cell(table, row, 0) for row in range(table.table.rowCount())} == names
    # No row but one sold thirty fruit: what the other rows of pawpaws sold, taken together, did.
    row_id = {row.name: row.id for row in book.rows.values()}
    others = [row_id[name] for name in ("East row 2", "Middle row 2")]
    of_others = (b for b in book.batches.values() if b.row_id in others)
    moved = tuple(replace(batch, row_id=row_id["East row 1"]) for batch in of_others)
    write(session.season, Action("of rows taken together", moved))
    assert re.search(r"Per tree, .+ row 1 brought most so far", page.balance.earning.text())
    for row in book.rows.values():
        session.season.do(actions.orchard.save_row, replace(row, trees=None))
    assert "too early to say" in page.balance.earning.text()
    shown = page.balance.cultivars.table
    late = shown.first(lambda row: book.cultivars[row.key or ""].name == "Late pawpaws")
    assert late is not None
    assert cell(page.balance.cultivars, late, 7) == "too few sold"


def test_lessons_go_out_come_in_and_are_dropped(
    qtbot: QtBot, page: ReviewPage, session: Session, tmp_path: Path
) -> None:
    said: list[str] = []
    session.said.connect(said.append)
    path = tmp_path / "taught.json"
    save_lessons(session, path)
    assert path.exists()
    assert str(path) in said[-1]
    begin_from(session, path)
    lessons = page.learned.lessons
    qtbot.waitUntil(lambda: bool(session.season.book.lessons))
    book = session.season.book
    taught = len(book.lessons) + len(book.tree_lessons)
    assert lessons.list.count() == taught > len(book.tree_lessons) > 0
    shown = [lessons.list.item(line).text() for line in range(taught)]
    assert sum(text.startswith("On the tree: ") for text in shown) == len(book.tree_lessons)
    assert "Saltmeadow" in lessons.list.item(0).text()
    assert not lessons.delete_button.isEnabled()
    lessons.list.selectAll()
    lessons.delete_button.click()
    assert not session.season.book.lessons
    assert not session.season.book.tree_lessons
    assert lessons.empty.isVisible()
    session.season.undo()
    assert lessons.list.count() == taught


def test_a_file_that_is_none_is_refused_in_words(
    qtbot: QtBot, page: ReviewPage, session: Session, tmp_path: Path
) -> None:
    refused: list[str] = []
    session.refused.connect(lambda refusal: refused.append(refusal.message))
    other = tmp_path / "shopping.json"
    other.write_text("[1, 2]")
    begin_from(session, other)
    begin_from(session, session.season.path)
    save_lessons(session, tmp_path / "lost" / "a.json")
    qtbot.waitUntil(lambda: len(refused) == 3)
    assert [
        any(word in text for text in refused) for word in ("not a lessons file", "itself", "lost")
    ] == [True] * 3
    assert not session.season.book.lessons


def test_an_empty_season_says_what_to_do(qtbot: QtBot, session: Session, tmp_path: Path) -> None:
    season = replace(
        session.season.book.season, id="00000000-0000-4000-8000-000000000001", practice_now=None
    )
    empty = Session(Season.create(tmp_path / "new.ripenroom", season), session.settings)
    page = ReviewPage(empty)
    qtbot.addWidget(page)
    page.show()
    for tab, words in (
        (page.learned, "No checks yet"),
        (page.forecasts, "Nothing to look back on yet"),
        (page.balance, "Nothing picked yet"),
    ):
        page.tabs.setCurrentWidget(tab)
        assert words in tab.summary.text()
    empty.close()


def test_a_read_only_season_cannot_take_lessons(qtbot: QtBot, session: Session) -> None:
    other = Session(Season.open(session.season.path, read_only=True), session.settings)
    page = ReviewPage(other)
    qtbot.addWidget(page)
    page.show()
    lessons = page.learned.lessons
    assert not lessons.begin_button.isEnabled()
    assert lessons.begin_button.toolTip() == other.season.read_only_because
    assert lessons.save_button.isEnabled()
    other.close()

"""The page "Plan"."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.plans.plan_changes import ChangeKind, PlanChange
from ripenroom.season.season import Season
from ripenroom.window.plan.itinerary_table import Column
from ripenroom.window.plan.page import PlanPage
from ripenroom.window.session import Session
from ripenroom.wording.plan.itineraries import change_words
from tests.window.planned import SLOW_MS, planned
from tests.worked_out import advised_once


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> PlanPage:
    planned(qtbot, session)
    return shown(qtbot, session)


def shown(qtbot: QtBot, session: Session) -> PlanPage:
    made = PlanPage(session)
    qtbot.addWidget(made)
    made.resize(1024, 700)
    made.show()
    return made


def test_the_plan_stands_beside_the_rules(page: PlanPage) -> None:
    plan, words = page.session.plans.plan, page.session.words
    assert plan is not None
    rows = page.overview.table.texts
    assert [row[0] for row in rows] == [
        "This plan",
        "Oldest pick first",
        "Soonest past first",
        "As it is, nothing moved",
    ]
    # What becomes of the plan, not what it hopes for.
    mean = plan.with_likely.value.mean / 100.0
    assert rows[0][1].startswith(f"€{words.number(mean)} (")
    assert rows[0][1].endswith(")")
    assert rows[2][-2].startswith(words.number(plan.first_expired_first_out.sold.mean))


def test_no_line_begins_with_a_sign_of_per_cent(page: PlanPage) -> None:
    overview = page.overview
    said = " ".join([overview.verdict.text(), overview.note.text(), *overview.risks.texts])
    assert "\u00a0%" in said
    assert " %" not in said


def test_who_reckons_with_the_table_finds_what_the_sentences_say(page: PlanPage) -> None:
    totals = []
    for _, sold, *parts, total, _, _ in page.overview.table.texts:
        signed = [part.replace("\N{MINUS SIGN} ", "-").replace("+ ", "") for part in parts]
        amounts = [int(part.replace("€", "")) for part in (sold.split(" ")[0], *signed)]
        totals.append(int(total.removeprefix("= €")))
        assert sum(amounts) == totals[-1]
    ours, *rules = totals
    said = page.overview.verdict.text()
    assert said.startswith(f"€{ours - rules[-1]} more than moving nothing, ")
    if max(rules) > rules[-1]:
        assert f"This plan comes to €{ours - max(rules)} more than the best simple rule" in said
    else:
        assert "No simple rule does better than moving nothing." in said


def test_what_lies_beyond_a_plan_stays_as_it_was_until_the_next_one_is_there(
    qtbot: QtBot, page: PlanPage
) -> None:
    session, later = page.session, page.overview.later
    said = later.text()
    assert said
    session.plans.again()
    page.refresh()
    assert session.plans.working
    assert later.text() == said
    assert "Working" in page.status.text
    planned(qtbot, session)
    assert later.text() == said


def test_market_days_at_risk_come_by_day(page: PlanPage) -> None:
    plan = page.session.plans.plan
    assert plan is not None
    days = page.session.season.book.market_days
    risky = {m.market_day_id for m in plan.markets if m.risk >= 0.2 and m.wanted}
    names = [days[key].name for key in sorted(risky, key=lambda key: days[key].starts_at)]
    told = page.overview.risks.texts
    assert len(told) == len(names) + 1
    assert all(text.startswith(name) for text, name in zip(told, names, strict=False))


def test_changes_are_told(page: PlanPage) -> None:
    plans, changes = page.session.plans, page.overview.changes
    plan = plans.plan
    assert plan is not None
    plans.changes = ()
    page.overview.refresh()
    assert changes.texts == ["Nothing: the plan is the same."]
    line = plan.lines[0]
    plans.changes = tuple(
        PlanChange(ChangeKind.NEW_BATCH, line.batch_id, crates, None, line.market_day_id)
        for crates in range(1, 41)
    )
    page.overview.refresh()
    *told, rest = changes.texts
    assert told == [change_words(change, page.session) for change in plans.changes[: len(told)]]
    assert rest == f"And {40 - len(told)} more."
    assert not changes.isHidden()


def test_without_a_yesterday_no_change_is_told(page: PlanPage) -> None:
    season, before = page.session.season, page.session.plans.before
    assert season.had_yesterday
    page.session.plans.before = None
    page.overview.refresh()
    assert page.overview.changes.isHidden()
    page.session.plans.before = before
    # As on the day before any fruit of it was picked.
    season.read_as_on(min(batch.picked_at for batch in season.book.batches.values()))
    page.overview.refresh()
    assert page.overview.changes.isHidden()


def test_every_line_is_in_the_table_and_it_sorts(page: PlanPage) -> None:
    view, plan = page.lines, page.session.plans.plan
    assert plan is not None
    assert len(view.model.rows) == len(plan.lines) == view.model.rowCount()
    view.table.sortByColumn(Column.WORTH, Qt.SortOrder.DescendingOrder)
    worth = [line.expected_value_minor for line in view.model.rows]
    assert worth == sorted(worth, reverse=True)


def pinnable(page: PlanPage) -> int:
    """The row (as sorted) of a line that can be pinned, with the keyboard on it."""
    view = page.lines
    for row in range(view.model.rowCount()):
        view.table.setCurrentIndex(view.model.index(row, 0))
        line = view.current()
        if line is not None and line.market_day_id and view.pin_button.isEnabled():
            return row
    raise AssertionError("no line can be pinned")


def test_p_pins_a_line_and_takes_the_pin_off(qtbot: QtBot, page: PlanPage) -> None:
    page.tabs.setCurrentWidget(page.lines)
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    plans, view = page.session.plans, page.lines
    pinnable(page)
    line = view.current()
    assert line is not None
    view.table.setFocus()
    with qtbot.waitSignal(plans.planned, timeout=SLOW_MS):
        QTest.keyClick(view.table, Qt.Key.Key_P)
    (pin,) = page.session.season.book.pins.values()
    assert (pin.batch_id, pin.crates) == (line.batch_id, line.crates)
    assert pin.market_day_id == line.market_day_id
    chosen = view.current()
    assert chosen is not None
    assert chosen.batch_id == line.batch_id
    (pinned,) = [one for one in view.model.rows if one.pin_id == pin.id]
    assert view.model.text(view.model.rows.index(pinned), Column.FIXED) == "pinned"
    view.choose_record(pinned.batch_id)
    while view.current() != pinned:
        QTest.keyClick(view.table, Qt.Key.Key_Down)
    assert view.pin_button.text() == "Take pi&n off"
    QTest.keyClick(view.table, Qt.Key.Key_P)
    assert not page.session.season.book.pins
    page.session.season.undo()
    assert page.session.season.book.pins


def test_what_cannot_be_pinned_says_why(page: PlanPage) -> None:
    view = page.lines
    for row in range(view.model.rowCount()):
        view.table.setCurrentIndex(view.model.index(row, 0))
        line = view.current()
        assert line is not None
        if line.expected_pick_id is not None or line.second_grade:
            assert not view.pin_button.isEnabled()
            assert view.pin_button.toolTip().endswith(".")


def test_the_table_is_copied_and_saved(page: PlanPage, tmp_path: Path) -> None:
    view = page.lines
    view.copy()
    text = QGuiApplication.clipboard().text()
    lines = text.split("\n")
    assert lines[0].split("\t")[:3] == ["Fruit", "Crates", "Batch"]
    assert len(lines) == 1 + len(view.model.rows)
    assert len({line.count("\t") for line in lines}) == 1
    view.export(tmp_path / "plan")
    saved = (tmp_path / "plan.csv").read_text(encoding="utf-8").splitlines()
    assert saved[0].startswith("crop,feel,fruit,crates,batch,from_place")
    assert len(saved) == 1 + len(view.model.rows)


def test_a_table_that_cannot_be_saved_says_so(qtbot: QtBot, page: PlanPage, tmp_path: Path) -> None:
    with qtbot.waitSignal(page.session.said) as said:
        page.lines.export(tmp_path / "no such folder" / "plan.csv")
    assert "could not be written" in said.args[0]


def test_a_record_is_pointed_to(page: PlanPage) -> None:
    line = page.lines.model.rows[-1]
    page.show_record(line.batch_id or str(line.expected_pick_id))
    assert page.tabs.currentWidget() is page.lines
    chosen = page.lines.current()
    assert chosen is not None
    assert (chosen.batch_id, chosen.expected_pick_id) == (line.batch_id, line.expected_pick_id)


@pytest.mark.long
@advised_once
@pytest.mark.usefixtures("few_batches")
def test_advice_is_worked_out_when_it_is_looked_at(qtbot: QtBot, page: PlanPage) -> None:
    advice, ask = page.advice, page.session.season.ask
    # By now these are known to others who ask, however long a busy machine is at it.
    ask.set_point_advice()
    ask.what_helps()
    assert not advice.set_points.working
    page.tabs.setCurrentWidget(advice)
    assert advice.set_points.working
    assert advice.helps.working
    qtbot.waitUntil(
        lambda: not (advice.set_points.working or advice.helps.working), timeout=SLOW_MS
    )
    said = advice.set_point_part.texts
    assert any(text.startswith("Cold room: ") for text in said)
    assert advice.help_part.texts
    page.session.season.do(actions.batches.delete, [next(iter(page.session.season.book.batches))])
    assert advice.set_points.state.text() == "This is from before the latest change."


@pytest.mark.long
@pytest.mark.usefixtures("worked_out_anew", "few_batches")
def test_advice_can_be_stopped(qtbot: QtBot, page: PlanPage) -> None:
    working = page.advice.set_points
    working.begin()
    assert working.button.text() == "Stop"
    working.button.click()
    qtbot.waitUntil(lambda: not working.working, timeout=SLOW_MS)
    assert working.state.text() == "Stopped before it was done."


@pytest.fixture
def empty(tmp_path: Path, session: Session, settings: QSettings) -> Iterator[Session]:
    season = replace(session.season.book.season, name="New")
    opened = Session(Season.create(tmp_path / "new.ripenroom", season), settings)
    yield opened
    opened.close()


def test_an_empty_season_is_told_what_to_do(qtbot: QtBot, empty: Session) -> None:
    page = shown(qtbot, empty)
    assert page.overview.verdict.text() == "The plan will be here in a moment."
    planned(qtbot, empty)
    assert page.overview.verdict.text().startswith("No market day lies ahead.")
    assert not page.overview.table.isVisible()
    page.tabs.setCurrentWidget(page.lines)
    assert page.lines.nothing.isVisible()
    page.tabs.setCurrentWidget(page.advice)
    advice = page.advice
    qtbot.waitUntil(
        lambda: not (advice.set_points.working or advice.helps.working), timeout=SLOW_MS
    )
    assert advice.set_point_part.texts[0].startswith("No advice yet")


def test_read_only_seasons_cannot_be_pinned(
    qtbot: QtBot, season_path: Path, settings: QSettings
) -> None:
    opened = Session(Season.open(season_path, read_only=True), settings)
    planned(qtbot, opened)
    page = shown(qtbot, opened)
    page.lines.table.setCurrentIndex(page.lines.model.index(0, 0))
    assert not page.lines.pin_button.isEnabled()
    assert page.lines.pin_button.toolTip() == opened.season.read_only_because
    opened.close()

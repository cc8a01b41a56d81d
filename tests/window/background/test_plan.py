"""The plan follows the season in the background."""

import threading
import time
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from pytestqt.exceptions import capture_exceptions
from pytestqt.qtbot import QtBot

from ripenroom.cli.arguments import count_on_checks
from ripenroom.cli.arguments import planned as on_paper
from ripenroom.records.entry import PickEntry
from ripenroom.season import actions, questions
from ripenroom.season.plans.planner import Planner
from ripenroom.season.season import Season
from ripenroom.season.state import Changed
from ripenroom.window.background.task import any_left
from ripenroom.window.main_window import MainWindow
from ripenroom.window.plan_status import PlanStatus
from ripenroom.window.session import Session
from tests.window.planned import SLOW_MS


def planned(qtbot: QtBot, session: Session) -> None:
    """Wait for a plan of the season as it is now."""
    with qtbot.waitSignal(session.plans.planned, timeout=SLOW_MS):
        session.plans.begin()


def test_the_practice_season_is_planned_without_asking(qtbot: QtBot, window: MainWindow) -> None:
    assert window.session is not None
    plans = window.session.plans
    qtbot.waitUntil(lambda: plans.plan is not None, timeout=SLOW_MS)
    assert plans.plan is not None
    assert plans.plan.lines
    assert not plans.working


@pytest.mark.long
@pytest.mark.usefixtures("worked_out_anew")
def test_the_command_line_makes_the_very_plan_of_the_window(qtbot: QtBot, session: Session) -> None:
    session.learning.begin()
    planned(qtbot, session)
    with closing(Season.open(session.season.path, read_only=True)) as season:
        count_on_checks(season)
        update = on_paper(season)
    assert session.season.learned is not None
    assert update.plan == session.plans.plan
    assert update.yesterday == session.plans.before
    assert update.changes == session.plans.changes
    assert update.if_left == session.plans.if_left


def test_nothing_is_planned_before_it_begins(qtbot: QtBot, session: Session) -> None:
    session.season.do(actions.batches.delete, [next(iter(session.season.book.batches))])
    qtbot.wait(300)
    assert not session.plans.working
    assert session.plans.plan is None


@pytest.mark.usefixtures("few_batches")
def test_changes_in_a_row_are_planned_for_once(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    made: list[None] = []
    session.plans.planned.connect(lambda: made.append(None))
    ids = list(session.season.book.batches)[:3]
    for batch_id in ids:
        session.season.do(actions.batches.delete, [batch_id])
        assert session.plans.working
    qtbot.waitUntil(lambda: not session.plans.working, timeout=SLOW_MS)
    assert len(made) == 1
    assert session.plans.plan is not None
    assert not {line.batch_id for line in session.plans.plan.lines} & set(ids)


def test_the_clock_alone_makes_no_new_plan(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    with qtbot.assertNotEmitted(session.plans.working_changed, wait=300):
        session.changed.emit(Changed(clock=True))


def test_a_plan_that_is_stopped_before_it_begins_leaves_the_old_one(
    qtbot: QtBot, session: Session
) -> None:
    planned(qtbot, session)
    old = session.plans.plan
    session.plans.again()
    session.plans.cancel()
    assert not session.plans.working
    qtbot.wait(300)
    assert session.plans.plan is old


@pytest.mark.usefixtures("worked_out_anew", "few_batches")
def test_closing_while_it_works_waits_for_no_thread(qtbot: QtBot, session: Session) -> None:
    qtbot.waitUntil(lambda: not working(), timeout=SLOW_MS)  # what other tests left
    session.plans.begin()
    qtbot.waitUntil(lambda: planning(session), timeout=SLOW_MS)
    session.plans.close()
    assert any_left(), "the plan was waited for"
    qtbot.waitUntil(lambda: not any_left(), timeout=SLOW_MS)
    assert not working()


def test_what_has_to_come_to_its_end_is_waited_for(qtbot: QtBot, session: Session) -> None:
    begun, done = threading.Event(), threading.Event()

    def write() -> None:
        begun.set()
        time.sleep(0.2)
        done.set()

    session.run_beside("", write, lambda _none: None)
    assert begun.wait(SLOW_MS / 1000.0)
    session.tasks.close()
    assert done.is_set()


@pytest.mark.usefixtures("worked_out_anew", "few_batches")
def test_a_plan_that_is_called_off_before_there_is_one_leaves_the_old_one(
    qtbot: QtBot, session: Session
) -> None:
    planned(qtbot, session)
    old = session.plans.plan
    session.season.do(actions.batches.delete, [next(iter(session.season.book.batches))])
    qtbot.waitUntil(lambda: planning(session), timeout=SLOW_MS)
    with qtbot.assertNotEmitted(session.plans.planned, wait=100):
        session.plans.cancel()
        qtbot.waitUntil(lambda: not session.plans.working, timeout=SLOW_MS)
    assert session.plans.plan is old
    assert session.plans.failed is None


def planning(session: Session) -> bool:
    """Whether a plan is worked on, not only waited for."""
    return session.plans._task is not None


def working() -> bool:
    """Whether anything is worked on beside the window."""
    return any(thread.name == "background task" for thread in threading.enumerate())


def test_an_empty_season_has_an_empty_plan(
    qtbot: QtBot, session: Session, tmp_path: Path, settings: QSettings
) -> None:
    empty = Season.create(
        tmp_path / "empty.ripenroom",
        replace(session.season.book.season, name="New"),
    )
    opened = Session(empty, settings)
    planned(qtbot, opened)
    assert opened.plans.plan is not None
    assert opened.plans.plan.lines == ()
    opened.close()


def test_a_read_only_season_is_planned_too(
    qtbot: QtBot, season_path: Path, settings: QSettings
) -> None:
    opened = Session(Season.open(season_path, read_only=True), settings)
    planned(qtbot, opened)
    assert opened.plans.plan is not None
    assert opened.plans.plan.lines
    opened.close()


@pytest.mark.usefixtures("worked_out_anew", "few_batches")
def test_a_fault_in_the_planner_is_kept_and_the_old_plan_too(
    qtbot: QtBot, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    planned(qtbot, session)
    old = session.plans.plan

    def fails(*_args: object, **_named: object) -> None:
        raise ValueError("a fault of ours")

    monkeypatch.setattr(Planner, "plan", fails)
    with capture_exceptions() as caught:
        session.plans.again()
        qtbot.waitUntil(lambda: not session.plans.working, timeout=SLOW_MS)
    assert [kind for kind, *_ in caught] == [ValueError]
    assert isinstance(session.plans.failed, ValueError)
    assert session.plans.plan is old
    monkeypatch.undo()
    place = next(iter(session.season.book.places.values()))
    with qtbot.waitSignal(session.plans.planned, timeout=SLOW_MS):
        session.season.do(actions.places.save, replace(place, name="Walk-in"))
    assert session.plans.failed is None


@pytest.mark.usefixtures("few_batches")
def test_the_plan_is_told_from_yesterdays(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    plans, now = session.plans, session.season.now()
    assert plans.before is not None
    assert plans.before.made_at.date() == (now - timedelta(days=1)).date()
    yesterdays = plans.before
    # A batch picked today was not in it.
    like = next(b for b in session.season.book.batches.values() if b.crop == "pawpaw" and b.count)
    place_id = next(iter(session.season.book.places))
    entry = PickEntry(
        crop="pawpaw",
        place_id=place_id,
        picked_at=now - timedelta(minutes=20),
        feel_counts=(0, 40, 0, 0, 0),
        count=40,
        cultivar_id=like.cultivar_id,
    )
    with qtbot.waitSignal(plans.planned, timeout=SLOW_MS):
        (new,) = session.season.do(actions.picks.add, entry)
    assert plans.before is yesterdays
    assert new.id in {change.batch_id for change in plans.changes}


@pytest.mark.usefixtures("worked_out_anew", "few_batches")
def test_what_to_check_is_worked_out_after_the_plan(qtbot: QtBot, session: Session) -> None:
    with qtbot.waitSignal(session.plans.advised, timeout=SLOW_MS):
        session.plans.begin()
    assert session.plans.plan is not None
    assert {check.batch_id for check in session.plans.check_next} <= set(
        session.season.book.batches
    )


def test_a_replanner_goes_with_the_plan(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    plans = session.plans
    assert plans.replanner is not None
    assert plans.plan is not None
    # Without any time to search it keeps to the plan, if it can be kept to: plans of two searches
    # differ where one was cut short.
    again = plans.replanner.plan(plans.plan, steps=0)
    assert again.lines == plans.plan.lines
    assert again.outcome == plans.plan.outcome


@pytest.mark.long
@pytest.mark.usefixtures("worked_out_anew", "few_batches")
def test_of_a_large_season_a_quick_plan_comes_first_and_the_plan_does_not_hang_on_it(
    qtbot: QtBot, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    plans = session.plans
    seen: list[tuple[bool, bool]] = []
    plans.planned.connect(lambda: seen.append((_at_once(session), plans.working)))
    status = PlanStatus(session)
    qtbot.addWidget(status)
    said: list[str] = []
    plans.planned.connect(lambda: said.append(status.text))
    monkeypatch.setattr(questions, "SALES_AT_ONCE", 1)
    plans.begin()
    qtbot.waitUntil(lambda: len(seen) == 2, timeout=SLOW_MS)
    assert seen == [(True, True), (False, False)]
    assert "quick first plan" in said[0]
    assert "quick" not in said[1]
    found = plans.plan
    update = session.season.ask.plan()
    assert update is not None
    assert update.plan == found
    assert update.changes == plans.changes


def _at_once(session: Session) -> bool:
    assert session.plans.plan is not None
    return session.plans.plan.at_once


@pytest.mark.usefixtures("worked_out_anew", "few_batches")
def test_what_is_stopped_after_the_quick_plan_keeps_it(
    qtbot: QtBot, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    plans = session.plans
    monkeypatch.setattr(questions, "SALES_AT_ONCE", 1)
    plans.planned.connect(plans.cancel)
    plans.begin()
    qtbot.waitUntil(lambda: plans.plan is not None and not plans.working, timeout=SLOW_MS)
    assert _at_once(session)
    status = PlanStatus(session)
    qtbot.addWidget(status)
    assert "Plan again" in status.text

"""What ticks on the day sheet write down, and what taking them away takes back."""

from datetime import timedelta

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QDialog, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.market import ExpectedPick
from ripenroom.season import actions
from ripenroom.season.day_sheet import DayTask, DayTaskKind
from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.forms.settle_market import SettleDialog
from ripenroom.window.session import Session
from ripenroom.window.today.ticking import Ticking
from tests.window.planned import SLOW_MS, planned, tasks_of


@pytest.fixture
def doing(qtbot: QtBot, session: Session) -> Ticking:
    widget = QWidget()
    qtbot.addWidget(widget)
    return Ticking(session, widget)


def of(kind: DayTaskKind, session: Session, doing: Ticking) -> list[DayTask]:
    tasks = tasks_of(session, doing.ticked, doing.came)
    return [task for task in tasks if task.kind is kind]


def closing(kind: type[QDialog], seen: list[QDialog]) -> None:
    """Close the dialog of that kind as soon as it is shown."""

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, kind):
            seen.append(dialog)
            dialog.reject()
        else:
            QTimer.singleShot(20, look)

    QTimer.singleShot(20, look)


@pytest.mark.usefixtures("few_batches")
def test_packing_and_unpacking(qtbot: QtBot, session: Session, doing: Ticking) -> None:
    season = session.season
    day = min(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    season.read_as_on(day.starts_at - timedelta(hours=20))
    planned(qtbot, session)
    open_before = of(DayTaskKind.PACK, session, doing)
    doing.tick(open_before[0])
    packs = of(DayTaskKind.PACK, session, doing)
    (done,) = [task for task in packs if task.done]
    assert len(packs) == len(open_before)
    assert season.book.pins[done.done_record_id].packed_at is not None
    assert doing.can_untick(done)
    doing.untick(done)
    assert season.book.pins[done.done_record_id].packed_at is None


def test_a_refused_tick_leaves_the_line_open(
    qtbot: QtBot, session: Session, doing: Ticking
) -> None:
    planned(qtbot, session)
    moves = of(DayTaskKind.MOVE, session, doing)
    # Second grade is sold from wherever it stands.
    task = next(task for task in moves if task.line is not None and task.line.steps)
    assert task.line is not None
    here = task.line.from_place_id
    other = next(key for key in session.season.book.places if key != here)
    session.season.do(actions.moves.move, [task.record_id], other, session.season.now())
    with qtbot.waitSignal(session.refused):
        doing.tick(task)
    assert not doing.ticked


def test_a_pick_that_came_is_expected_no_longer(session: Session, doing: Ticking) -> None:
    season = session.season
    place_id = next(iter(season.book.places))
    pick = ExpectedPick(
        id="today", crop="pawpaw", on=season.now().date(), count=30, place_id=place_id
    )
    season.do(actions.ahead.save_expected_pick, pick)
    (task,) = of(DayTaskKind.EXPECT, session, doing)
    doing.tick(task)
    assert "today" not in season.book.expected_picks
    (done,) = of(DayTaskKind.EXPECT, session, doing)
    assert done.done
    doing.untick(done)
    assert season.book.expected_picks["today"] == pick
    (task,) = of(DayTaskKind.EXPECT, session, doing)
    assert not task.done


@pytest.mark.usefixtures("few_batches")
def test_a_check_asks_what_was_felt(qtbot: QtBot, session: Session, doing: Ticking) -> None:
    with qtbot.waitSignal(session.plans.advised, timeout=SLOW_MS):
        session.plans.begin()
    checks = [
        task
        for kind in (DayTaskKind.CHECK_FIRST, DayTaskKind.CHECK)
        for task in of(kind, session, doing)
    ]
    assert {task.record_id for task in checks} == {c.batch_id for c in session.plans.check_next}
    batch_id = next(iter(session.season.book.batches))
    seen: list[QDialog] = []
    closing(CheckDialog, seen)
    doing.tick(DayTask(DayTaskKind.CHECK, checks[0].record_id if checks else batch_id))
    assert len(seen) == 1


def test_settling_asks_what_was_sold(session: Session, doing: Ticking) -> None:
    season = session.season
    day = min(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    season.read_as_on(day.starts_at + timedelta(days=1))
    (task,) = of(DayTaskKind.SETTLE, session, doing)
    seen: list[QDialog] = []
    closing(SettleDialog, seen)
    doing.tick(task)
    assert len(seen) == 1
    assert not doing.can_untick(task)

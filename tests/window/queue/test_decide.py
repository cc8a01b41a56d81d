"""The form in which it is decided how crates go."""

from collections.abc import Callable
from datetime import datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.window.queue.decide import DecideDialog
from ripenroom.window.queue.queue_plan import QueueItinerary, planned_of
from ripenroom.window.session import Session
from tests.window.planned import planned, todays_move

MakeDialog = Callable[[PlannedItinerary], DecideDialog]


def way_of(session: Session, line: PlannedItinerary) -> QueueItinerary:
    assert session.plans.plan is not None
    ways = planned_of(session.plans.plan, session.season.book, session.season.ask.buyers_days).ways[
        line.batch_id
    ]
    return next(way for way in ways if way.line is line)


@pytest.fixture
def line(qtbot: QtBot, session: Session) -> PlannedItinerary:
    planned(qtbot, session)
    return todays_move(session)


@pytest.fixture
def dialog(qtbot: QtBot, session: Session, line: PlannedItinerary) -> DecideDialog:
    made = DecideDialog(session, line.batch_id, way_of(session, line))
    made.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
    qtbot.addWidget(made)
    made.show()
    return made


def test_it_begins_with_what_is_planned(dialog: DecideDialog, line: PlannedItinerary) -> None:
    pin = dialog.pin()
    assert (pin.batch_id, pin.crates) == (line.batch_id, line.crates)
    assert (pin.pull_at, pin.place_id) == (line.pull_at, line.to_place_id)
    assert pin.market_day_id == line.market_day_id


def test_the_cost_follows_every_choice(qtbot: QtBot, dialog: DecideDialog) -> None:
    qtbot.waitUntil(lambda: dialog.cost.text().startswith("Costs"))
    first = dialog.cost.text()
    dialog.day.choose(None)
    qtbot.waitUntil(lambda: dialog.cost.text() != first)
    assert dialog.cost.text().startswith("Costs")


def test_by_keyboard_alone_it_is_pinned_and_undone(
    session: Session, dialog: DecideDialog, line: PlannedItinerary
) -> None:
    before = dict(session.season.book.pins)
    dialog.pull.setFocus()
    QTest.keyClick(dialog.pull, Qt.Key.Key_Down)
    chosen = dialog.pull.value()
    QTest.keyClick(dialog, Qt.Key.Key_Return)
    assert not dialog.isVisible()
    [pin] = [p for key, p in session.season.book.pins.items() if key not in before]
    assert isinstance(chosen, datetime)
    assert pin.pull_at == chosen != line.pull_at
    session.season.undo()
    assert dict(session.season.book.pins) == before


def test_crates_that_stay_have_no_evening(dialog: DecideDialog) -> None:
    dialog.place.choose(None)
    assert not dialog.pull.isEnabled()
    assert (dialog.pin().pull_at, dialog.pin().place_id) == (None, None)


def test_more_crates_than_are_left_cannot_be_chosen(dialog: DecideDialog, session: Session) -> None:
    dialog.crates.setValue(9999)
    left = dialog.crates.value()
    assert left == dialog.crates.maximum()
    assert f"of {left}" in dialog.crates.suffix()


def test_what_the_season_refuses_stays_in_the_form(
    qtbot: QtBot, session: Session, dialog: DecideDialog, line: PlannedItinerary
) -> None:
    dialog.crates.setValue(dialog.crates.maximum())
    session.season.do(actions.pins.pin, dialog.pin())
    again = DecideDialog(session, line.batch_id, None)
    qtbot.addWidget(again)
    again.show()
    again.accept()
    assert again.isVisible()
    assert "pinned already" in again.board.fields["crates"].note.text


def test_without_a_plan_for_the_batch_it_begins_with_one_crate_that_stays(
    qtbot: QtBot, session: Session, line: PlannedItinerary
) -> None:
    made = DecideDialog(session, line.batch_id, None)
    qtbot.addWidget(made)
    pin = made.pin()
    assert (pin.crates, pin.place_id, pin.market_day_id) == (1, None, None)

"""Waiting for the plan of an open season."""

from collections.abc import Mapping, Set
from datetime import datetime
from types import MappingProxyType

from pytestqt.qtbot import QtBot

from ripenroom.season.day_sheet import DaySheet, DayTask, day_sheet
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.window.session import Session

SLOW_MS = 100_000
"""So long (ms) is anything waited for that is worked on beside a window: a machine with much else
to do needs many times what an idle one does, and what comes in time ends the wait."""


def planned(qtbot: QtBot, session: Session) -> Plan:
    """The plan of the season as it is now."""
    with qtbot.waitSignal(session.plans.planned, timeout=SLOW_MS):
        session.plans.again()
    assert session.plans.plan is not None
    return session.plans.plan


def at_rest(qtbot: QtBot, session: Session) -> None:
    """Wait until nothing goes on beside the window that would show it again by itself: a widget
    that is made anew while a test presses its keys ends the process."""

    def works() -> bool:
        return session.plans.working or session.plans.advising or session.learning.working

    qtbot.waitUntil(lambda: not works(), timeout=SLOW_MS)


def todays_move(session: Session) -> PlannedItinerary:
    """A line that the plan moves today, of a market day."""
    plan = session.plans.plan
    assert plan is not None
    today = session.season.now().date()
    return next(
        line
        for line in plan.lines
        if line.steps
        and line.batch_id
        and line.market_day_id
        and not line.second_grade
        and session.words.local(line.steps[0].at).date() == today
    )


def sheet_of(
    session: Session,
    ticked: Set[PlannedItinerary] = frozenset(),
    came: Mapping[str, datetime] = MappingProxyType({}),
) -> DaySheet:
    """The day sheet of the season and its plan as they are now."""
    plans = session.plans
    return day_sheet(session.season, plans.plan, plans.check_next, ticked, came)


def tasks_of(
    session: Session,
    ticked: Set[PlannedItinerary] = frozenset(),
    came: Mapping[str, datetime] = MappingProxyType({}),
) -> tuple[DayTask, ...]:
    """What stands on it to be done."""
    return sheet_of(session, ticked, came).tasks

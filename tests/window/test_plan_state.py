"""How the plan stands, in words."""

from dataclasses import replace

from pytestqt.qtbot import QtBot

from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.season.plans.plan import BrokenPin, BrokenPinReason
from ripenroom.window.plan_status import plan_state_words
from ripenroom.window.session import Session
from tests.window.planned import planned, todays_move


def test_planning_is_said_until_there_is_a_plan(qtbot: QtBot, session: Session) -> None:
    assert plan_state_words(session) == ""
    session.plans.again()
    assert plan_state_words(session) == "Planning…"
    planned(qtbot, session)
    assert plan_state_words(session) == ""
    session.plans.again()
    assert plan_state_words(session) == "Planning again…"


def test_a_plan_that_failed_leaves_the_rest_alone(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    session.plans.failed = ArithmeticError("no plan")
    assert plan_state_words(session).startswith("No plan could be made.")


def test_without_market_days_nothing_is_planned(qtbot: QtBot, session: Session) -> None:
    season = session.season
    ahead = [d.id for d in season.book.market_days.values() if d.starts_at > season.now()]
    for day_id in ahead:
        season.do(actions.ahead.delete_market_day, day_id)
    planned(qtbot, session)
    assert plan_state_words(session) == "Nothing is planned: no market day lies ahead."


def test_a_pin_that_cannot_be_kept_is_named(qtbot: QtBot, session: Session) -> None:
    plan = planned(qtbot, session)
    line = todays_move(session)
    pin = Pin(id="pin", batch_id=line.batch_id, crates=1, market_day_id=line.market_day_id)
    session.season.do(actions.pins.pin, pin)
    for reason in BrokenPinReason:
        broken = (BrokenPin("pin", reason), BrokenPin("gone", reason))
        session.plans.working = False
        session.plans.plan = replace(plan, broken_pins=broken)
        said = plan_state_words(session)
        code = session.season.book.batches[line.batch_id].code
        assert said.startswith(f"A pin of {code} cannot be kept: ")
        assert said.count("A pin of") == 1

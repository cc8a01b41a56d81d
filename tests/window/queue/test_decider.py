"""Asking the planner, and writing down."""

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.window.queue.decide import Decision
from ripenroom.window.session import Session
from tests.window.planned import planned, todays_move


@pytest.fixture
def pin(qtbot: QtBot, session: Session) -> Pin:
    planned(qtbot, session)
    return Decision(session).as_pin(todays_move(session))


def test_what_is_planned_costs_next_to_nothing_and_keeping_it_back_costs(
    session: Session, pin: Pin
) -> None:
    decider = Decision(session)
    as_planned = session.plans.replanner
    assert as_planned is not None
    back = replace(pin, pull_at=None, place_id=None, market_day_id=None)
    least = as_planned.cost_of([pin]).cost_minor
    assert as_planned.cost_of([back]).cost_minor > least
    assert decider.cost(pin).startswith("costs")
    assert decider.cost(back).startswith("costs")
    assert "nothing" not in decider.cost(back)


def test_what_is_refused_says_why_instead(session: Session, pin: Pin) -> None:
    said = Decision(session).cost(replace(pin, crates=999))
    assert session.season.book.batches[pin.batch_id].code in said
    assert "costs" not in said


def test_while_there_is_no_plan_the_cost_is_not_known(session: Session, pin: Pin) -> None:
    session.plans.replanner = None
    assert Decision(session).cost(pin) == "what it costs is not known yet: planning…"


def test_without_prices_the_cost_is_told_in_fruit(qtbot: QtBot, session: Session, pin: Pin) -> None:
    season = session.season
    for day in list(season.book.market_days.values()):
        wants = [w for w in season.book.wants.values() if w.market_day_id == day.id]
        season.do(
            actions.ahead.save_market_day, day, [replace(want, price_minor=None) for want in wants]
        )
    planned(qtbot, session)
    back = replace(pin, pull_at=None, place_id=None, market_day_id=None)
    assert " fruit" in Decision(session).cost(back)


def test_a_decision_is_written_down_and_taken_back(session: Session, pin: Pin) -> None:
    decider, season = Decision(session), session.season
    assert decider.decide(pin, "done")
    assert season.book.pins[pin.id] == pin
    assert decider.leave_to_plan(pin.id, "done")
    assert pin.id not in season.book.pins
    season.undo()
    assert season.book.pins[pin.id] == pin

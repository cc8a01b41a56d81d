"""The table of every crate."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.exchange.plan_tables import plan_table
from ripenroom.season import actions
from ripenroom.season.plans.plan import PlannedItinerary, PlannedMove
from ripenroom.window.plan.itinerary_list import LinesView
from ripenroom.window.plan.itinerary_table import Column
from ripenroom.window.session import Session
from tests.window.planned import planned
from tests.worked_out import plan_of


@pytest.fixture
def view(qtbot: QtBot, session: Session) -> LinesView:
    planned(qtbot, session)
    made = LinesView(session)
    qtbot.addWidget(made)
    return made


def show(view: LinesView, session: Session, *lines: PlannedItinerary) -> None:
    plan = session.plans.plan
    assert plan is not None
    session.plans.plan = replace(plan, lines=lines)
    view.refresh()
    view.table.setCurrentIndex(view.model.index(0, 0))


def a_move(session: Session) -> PlannedItinerary:
    plan = session.plans.plan
    assert plan is not None
    said = {move.at for move in session.season.book.moves.values()}
    moves = (line for line in plan.lines if len(line.steps) == 1 and not line.expected_pick_id)
    return next(line for line in moves if line.steps[0].at not in said)


def test_a_pin_of_two_moves_would_forget_the_first(view: LinesView, session: Session) -> None:
    once = a_move(session)
    show(view, session, once)
    assert view.pin_button.isEnabled()
    first = PlannedMove(once.steps[0].at - timedelta(hours=1), once.from_place_id)
    show(view, session, replace(once, steps=(first, *once.steps)))
    assert not view.pin_button.isEnabled()
    assert "move twice" in view.pin_button.toolTip()


def test_what_is_gone_since_the_plan_was_made_is_not_saved(
    view: LinesView, session: Session, tmp_path: Path
) -> None:
    line = a_move(session)
    show(view, session, line, replace(line, batch_id="gone"), replace(line, market_day_id="gone"))
    view.export(tmp_path / "plan.csv")
    saved = (tmp_path / "plan.csv").read_text(encoding="utf-8").splitlines()
    assert len(saved) == 2


def test_rows_are_as_high_as_their_moves(view: LinesView, session: Session) -> None:
    once = a_move(session)
    first = PlannedMove(once.steps[0].at - timedelta(hours=1), once.from_place_id)
    twice = replace(once, steps=(first, *once.steps))
    view.resize(1400, 500)
    view.show()
    show(view, session, once, twice, once, twice)
    header = view.table.verticalHeader()
    low, high, *others = (header.sectionSize(row) for row in range(4))
    assert low < high
    assert others == [low, high]


def test_a_move_that_was_entered_is_marked_as_decided(view: LinesView, session: Session) -> None:
    """Whether the plan thinks much of it or not, it is made."""
    line = a_move(session)
    column = Column.FIXED
    show(view, session, line)
    assert view.model.data(view.model.index(0, column)) == ""
    step, season = line.steps[0], session.season
    season.do(actions.moves.move, [line.batch_id], step.place_id, step.at)
    show(view, session, line, replace(line, steps=(), pin_id="pin"))
    marks = {view.model.data(view.model.index(row, column)) for row in range(2)}
    assert marks == {"by you", "pinned"}
    table = plan_table(season, replace(plan_of(season), lines=(line,)))
    assert list(table["note"]) == ["move entered"]

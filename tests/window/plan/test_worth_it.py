"""One sentence: are the moves worth it?"""

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.planning.evaluate import PlanOutcome, SampledRange
from ripenroom.season.plans.plan import Plan
from ripenroom.season.plans.update import Delay
from ripenroom.window.session import Session
from ripenroom.wording.plan.worth_it import moves_that_count, worth_it
from tests.window.planned import planned, todays_move

NONE = SampledRange(0.0, 0.0, 0.0)


def of_moves(session: Session, count: int, brings: float, still: float, cost: float) -> Plan:
    """A plan of so many moves that brings so much more than nothing moved."""
    plan = session.plans.plan
    assert plan is not None
    line = replace(todays_move(session), expected_ready_share=0.8, second_grade=False)
    lines = tuple(
        replace(line, steps=line.steps[:1], fruit=float(n), expected_value_minor=1000.0)
        for n in range(count)
    )
    own, left = (
        PlanOutcome(SampledRange(0.0, value, 0.0), NONE, NONE, handling=paid)
        for value, paid in ((brings + still, cost), (still, 0.0))
    )
    return replace(plan, lines=lines, with_likely=own, as_it_is=left)


@pytest.mark.parametrize(
    ("gain", "cost", "said"),
    [
        (15000.0, 700.0, "€150 more than moving nothing, for 9 moves that cost €7.00: worth it."),
        (400.0, 700.0, "€4 for 9 moves that cost €7.00: not worth it."),
    ],
)
def test_it_is_held_to_moving_nothing(
    qtbot: QtBot, session: Session, gain: float, cost: float, said: str
) -> None:
    planned(qtbot, session)
    assert worth_it(of_moves(session, 9, gain, 20000.0, cost), {}, session.words) == said


def test_the_few_moves_that_bring_nearly_all_are_counted(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    plan = of_moves(session, 9, 400.0, 20000.0, 700.0)
    # Three would lose all their fruit if they stayed, the others next to nothing.
    delays = {line: Delay(None, 0.0 if n < 3 else 0.79) for n, line in enumerate(plan.lines)}
    assert moves_that_count(plan, delays) == 3
    said = worth_it(plan, delays, session.words)
    assert said.endswith("not worth it. 3 of them bring nearly all of it.")
    alike = {line: Delay(None, 0.0) for line in plan.lines}
    assert "nearly all" not in worth_it(plan, alike, session.words)

"""What a line of a plan says of itself."""

from dataclasses import replace

from ripenroom.season.plans.plan import PlannedMove
from tests.season.farm import COLD, ROOM
from tests.season.plans.planned import planned
from tests.season.plans.planning import evening


def test_the_next_step_of_two_is_the_first() -> None:
    steps = (PlannedMove(evening(0), COLD), PlannedMove(evening(4), ROOM))
    line = planned("batch 0", 2, pull_at=evening(4), to_place_id=ROOM, steps=steps)
    first = line.next_step()
    assert (first.pull_at, first.to_place_id, first.steps) == (evening(0), COLD, steps[:1])
    assert replace(first, pull_at=evening(4), to_place_id=ROOM, steps=steps) == line


def test_with_one_step_or_none_it_is_the_line_itself() -> None:
    stays = planned("batch 0", 2)
    moved = replace(stays, steps=(PlannedMove(evening(0), COLD),))
    assert stays.next_step() is stays
    assert moved.next_step() is moved


def test_what_is_moved_before_it_is_sold_as_second_grade_is_moved_first() -> None:
    steps = (PlannedMove(evening(0), COLD),)
    line = planned("batch 0", 2, pull_at=evening(4), second_grade=True, steps=steps)
    first = line.next_step()
    assert (first.pull_at, first.to_place_id, first.second_grade) == (evening(0), COLD, False)
    sold = replace(line, steps=())
    assert sold.next_step() is sold

"""What is done about a plan, with the lines of a real plan of the practice season."""

from datetime import timedelta

from ripenroom.season import actions
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.season.season import Season
from tests.worked_out import plan_of

STEPS = 1_000


def proposed_moves(practice: Season) -> list[PlannedItinerary]:
    """Lines of the plan whose first step is a move of a batch that is there."""
    lines = plan_of(practice, steps=STEPS).lines
    return [
        line
        for line in lines
        if line.batch_id and not line.second_grade and line.pull_at is not None
    ]


def test_every_move_that_the_plan_proposes_can_be_carried_out_and_taken_back(
    practice: Season,
) -> None:
    lines = proposed_moves(practice)
    assert lines
    before = practice.book
    for line in lines:
        moved = practice.do(actions.carrying.carry_out, line, practice.now())
        place = practice.place_of(moved)
        assert place is not None
        assert place.id == line.next_step().to_place_id
        practice.undo()
        assert practice.book == before


def test_crates_for_the_next_market_can_be_packed_and_the_plan_keeps_to_them(
    practice: Season,
) -> None:
    lines = [
        line
        for line in plan_of(practice, steps=STEPS).lines
        if line.batch_id and line.market_day_id is not None
    ]
    assert lines
    line = lines[0]
    packed = practice.do(actions.pins.pack, line, practice.now() + timedelta(microseconds=70))
    assert packed.packed_at == practice.now()
    again = [one for one in plan_of(practice, steps=STEPS).lines if one.pin_id == packed.id]
    assert sum(one.crates for one in again) == line.crates
    assert all(one.packed and one.market_day_id == line.market_day_id for one in again)


def test_a_part_that_was_moved_ripens_where_it_is(practice: Season) -> None:
    before = practice.projection()
    batch = next(
        b
        for b in practice.book.batches.values()
        if before.left[before.line_of[b.id]] > 20 and b.feel_counts is not None
    )
    part = practice.do(actions.splitting.split, batch.id, 5)
    after = practice.projection()
    whole = before.line_of[batch.id]
    rest, split = after.line_of[batch.id], after.line_of[part.id]
    assert after.left[rest] + after.left[split] == before.left[whole]
    assert after.closes_h.mid[split] == after.closes_h.mid[rest]

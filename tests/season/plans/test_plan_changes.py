"""What is planned otherwise than before, told batch by batch."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from ripenroom.planning.evaluate import PlanOutcome, SampledRange
from ripenroom.records.book import Book
from ripenroom.season.plans.plan import Plan, PlannedItinerary, PlannedMove
from ripenroom.season.plans.plan_changes import ChangeKind, PlanChange, changes_between
from tests.season.farm import COLD, NOW, ROOM, SHELF, batch_and_move
from tests.season.plans.planned import planned as line
from tests.season.plans.planning import evening, expected, farm_book, market_records
from tests.season.plans.planning import planned as plan_of

SATURDAY, SUNDAY = market_records(3, {"pawpaw": 60}), market_records(4, {"pawpaw": 60})
SAT, SUN = SATURDAY[0].id, SUNDAY[0].id
BOOK = farm_book(*SATURDAY, *SUNDAY, batches=3)

_NOTHING = SampledRange(0.0, 0.0, 0.0)
_RULE = PlanOutcome(_NOTHING, _NOTHING, _NOTHING)


def plan(*lines: PlannedItinerary, hours: float = 0.0) -> Plan:
    at = NOW + timedelta(hours=hours)
    return Plan(lines, 0.0, _RULE, _RULE, _RULE, _RULE, _RULE, (), at)


def pulled(
    batch: str, crates: int, days: int, place: str = ROOM, day: str = SAT
) -> PlannedItinerary:
    return line(
        batch,
        crates,
        pull_at=evening(days),
        to_place_id=place,
        market_day_id=day,
        steps=(PlannedMove(evening(days), place),),
    )


def left(batch: str, crates: int) -> PlannedItinerary:
    return line(batch, crates, to_place_id=COLD)


def second(batch: str, crates: int, days: int) -> PlannedItinerary:
    return line(batch, crates, pull_at=evening(days), second_grade=True)


def kinds(before: Plan, after: Plan, book: Book = BOOK) -> list[tuple[ChangeKind, int]]:
    return [(change.kind, change.crates) for change in changes_between(before, after, book)]


ONE = "batch 0"


@pytest.mark.parametrize(
    ("then", "now", "told"),
    [
        (pulled(ONE, 3, 1), pulled(ONE, 3, 1), []),
        (left(ONE, 3), line(ONE, 3), []),
        (pulled(ONE, 3, 2), pulled(ONE, 3, 1), [(ChangeKind.EARLIER, 3)]),
        (pulled(ONE, 3, 1), pulled(ONE, 3, 2), [(ChangeKind.LATER, 3)]),
        (pulled(ONE, 3, 1), pulled(ONE, 3, 1, SHELF), [(ChangeKind.OTHER_PLACE, 3)]),
        (pulled(ONE, 3, 1), pulled(ONE, 3, 1, day=SUN), [(ChangeKind.OTHER_MARKET, 3)]),
        (pulled(ONE, 3, 1), left(ONE, 3), [(ChangeKind.LEFT_OVER, 3)]),
        (left(ONE, 3), pulled(ONE, 3, 1), [(ChangeKind.SOLD_NOW, 3)]),
        (pulled(ONE, 3, 1), second(ONE, 3, 1), [(ChangeKind.OTHER_MARKET, 3)]),
        (second(ONE, 3, 1), second(ONE, 3, 2), [(ChangeKind.LATER, 3)]),
        (pulled(ONE, 2, 1), pulled(ONE, 3, 1), [(ChangeKind.MORE, 1)]),
        (pulled(ONE, 3, 1), pulled(ONE, 2, 1), [(ChangeKind.FEWER, 1)]),
    ],
)
def test_a_change_is_told_by_what_it_is(
    then: PlannedItinerary, now: PlannedItinerary, told: list[tuple[ChangeKind, int]]
) -> None:
    assert kinds(plan(then), plan(now)) == told


def test_crates_are_matched_to_those_that_go_most_alike() -> None:
    before = plan(pulled(ONE, 2, 1), pulled(ONE, 1, 2, day=SUN), left("batch 1", 3))
    after = plan(pulled(ONE, 1, 1), pulled(ONE, 2, 2, day=SUN), left("batch 1", 3))
    (change,) = changes_between(before, after, BOOK)
    assert change == PlanChange(
        ChangeKind.OTHER_MARKET, ONE, 1, SAT, SUN, evening(1), evening(2), ROOM, ROOM
    )


def test_batches_come_and_go() -> None:
    before, after = plan(pulled(ONE, 3, 1)), plan(pulled("batch 1", 2, 1))
    assert kinds(before, after) == [(ChangeKind.NEW_BATCH, 2), (ChangeKind.GONE, 3)]
    pick = replace(left("", 2), expected_pick_id="pick 3")
    (change,) = changes_between(plan(), plan(pick), BOOK)
    assert (change.kind, change.expected_pick_id) == (ChangeKind.NEW_BATCH, "pick 3")


def test_a_move_that_was_made_as_planned_is_no_change() -> None:
    before = plan(pulled(ONE, 3, 0))
    there = line(ONE, 3, from_place_id=ROOM, to_place_id=ROOM, market_day_id=SAT)
    assert kinds(before, plan(there, hours=24)) == []
    # It was not made, and is now planned for a day later.
    assert kinds(before, plan(pulled(ONE, 3, 1), hours=24)) == [(ChangeKind.LATER, 3)]


def test_the_first_of_two_moves_was_made() -> None:
    steps = (PlannedMove(evening(0), SHELF), PlannedMove(evening(2), ROOM))
    before = plan(replace(pulled(ONE, 3, 2), steps=steps))
    there = replace(pulled(ONE, 3, 2), from_place_id=SHELF)
    assert kinds(before, plan(there, hours=24)) == []
    assert kinds(before, plan(pulled(ONE, 3, 2))) == [(ChangeKind.OTHER_PLACE, 3)]


def test_crates_that_became_a_batch_of_their_own() -> None:
    part = batch_and_move(8, ROOM, split_from=ONE)
    before = plan(pulled(ONE, 2, 0), pulled(ONE, 1, 2))
    moved = line("batch 8", 2, from_place_id=ROOM, to_place_id=ROOM, market_day_id=SAT)
    assert kinds(before, plan(moved, pulled(ONE, 1, 2), hours=24), BOOK.with_changes(part)) == []


def test_what_was_sold_by_now_is_no_change() -> None:
    before = plan(pulled(ONE, 2, 1), pulled(ONE, 1, 3, day=SUN), second("batch 1", 3, 1))
    after = plan(pulled(ONE, 1, 3, day=SUN), hours=24 * 3 + 1)
    assert kinds(before, after) == []
    # Nobody has written down yet what became of them.
    still = plan(pulled(ONE, 1, 3, day=SUN), left(ONE, 2), hours=24 * 3 + 1)
    assert kinds(before, still) == []


def test_real_plans_tell_of_a_new_pick_and_of_nothing_else() -> None:
    wanted = market_records(6, {"pawpaw": 400})
    book = farm_book(*wanted, batches=4)
    before = plan_of(book)
    assert changes_between(before, plan_of(book, before=before), book) == ()
    more = book.with_changes(batch_and_move(7, count=40))
    found = changes_between(before, plan_of(more, before=before), more)
    assert {(change.kind, change.batch_id) for change in found} == {
        (ChangeKind.NEW_BATCH, "batch 7")
    }


def test_an_expected_pick_keeps_its_plan() -> None:
    facts: dict[str, Any] = {"feel": "gives"}
    book = farm_book(*market_records(6, {"pawpaw": 40}), expected(2, **facts))
    before = plan_of(book)
    assert before.lines
    assert changes_between(before, plan_of(book, before=before), book) == ()

"""Fruit that was packed for a market day is away from when that begins until it is settled."""

from datetime import timedelta

import pytest

from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.actions.outcomes import BatchOutcome
from ripenroom.season.actions.packing import Squeezed
from ripenroom.season.day_sheet import DayTaskKind, day_sheet
from ripenroom.season.season import Season
from ripenroom.season.whereabouts import at_home, held_at
from tests.season.conftest import Open
from tests.season.farm import NOW, ROOM, SHELF, batch_and_move, farm_records, market
from tests.season.plans.planning import plan_of
from tests.season.writing import write

DAY, LATER = "market 0.2", "market 3.0"
SQUEEZED, TICKED = "batch 1", "batch 2"
BEGINS = timedelta(days=0.2)


@pytest.fixture
def packed(open_season: Open) -> Season:
    """40 of 60 squeezed and taken, and one crate of another three ticked, for a market of today."""
    day, wants = market(0.2, {"pawpaw": 60})
    later, more = market(3.0, {"pawpaw": 200})
    records = [*farm_records(), day, *wants, later, *more]
    records += batch_and_move(1, ROOM, count=60, feel_counts=(0, 0, 15, 5, 0))
    records += batch_and_move(2, SHELF, count=75, feel_counts=(0, 5, 15, 0, 0))
    season = open_season(*records)
    season.do(actions.packing.pack_squeezed, DAY, [Squeezed(SQUEEZED, 40, 20, 0)], NOW)
    ticked = Pin(id="ticked", batch_id=TICKED, crates=1, market_day_id=DAY, packed_at=NOW)
    write(season, Action("tick", (ticked,)))
    return season


def part_of(season: Season) -> str:
    [part] = [batch.id for batch in season.book.batches.values() if batch.taken]
    return part


def test_until_the_market_begins_it_is_here(packed: Season) -> None:
    packed.read_as_on(NOW + BEGINS - timedelta(minutes=1))
    state = packed.state
    assert at_home(state.book, state.crops, state.now) is state.book
    assert part_of(packed) in {line.batch_id for line in plan_of(packed).lines}


def test_the_plan_has_none_of_it_from_the_minute_the_market_begins(packed: Season) -> None:
    packed.read_as_on(NOW + BEGINS)
    plan = plan_of(packed)
    assert plan.broken_pins == ()
    fruit: dict[str, float] = {}
    for line in plan.lines:
        fruit[line.batch_id] = fruit.get(line.batch_id, 0.0) + line.fruit
    # The rest of both batches is still there, and of the third crate on the shelf nothing is lost.
    assert fruit == pytest.approx({SQUEEZED: 20.0, TICKED: 50.0})
    assert not any(line.packed for line in plan.lines)


def test_nothing_is_asked_of_it(packed: Season) -> None:
    packed.read_as_on(NOW + BEGINS + timedelta(hours=1))
    part, plan = part_of(packed), plan_of(packed)
    checks = packed.ask.check_next()
    assert part not in {check.batch_id for check in checks}
    assert part not in packed.worth_checking()
    assert part not in {notice.batch_id for notice in packed.notices()}
    sheet = day_sheet(packed, plan, checks)
    assert part not in {stay.line.batch_id for stay in sheet.stays}
    assert part not in {task.record_id for task in sheet.tasks if not task.done}


def test_it_takes_up_no_room_and_feeds_no_later_market(packed: Season) -> None:
    before = {(s.market_day_id): s.ready for s in packed.supply()}
    packed.read_as_on(NOW + BEGINS)
    held = held_at(packed.book, packed.projection(), packed.now())
    assert (held[ROOM].fruit, held[SHELF].fruit) == (20.0, 50.0)
    after = {(s.market_day_id): s.ready for s in packed.supply()}
    assert after[LATER] < before[LATER]
    # On the day itself it is there.
    assert after[DAY] == pytest.approx(before[DAY])


def test_what_was_sold_is_asked_first_while_the_market_goes_on(packed: Season) -> None:
    packed.read_as_on(NOW + BEGINS - timedelta(minutes=1))
    assert DayTaskKind.SETTLE not in {task.kind for task in day_sheet(packed, None).tasks}
    packed.read_as_on(NOW + BEGINS)
    first, *_ = day_sheet(packed, plan_of(packed)).tasks
    assert (first.kind, first.record_id, first.done) == (DayTaskKind.SETTLE, DAY, False)


def test_a_market_that_wanted_nothing_is_asked_about_where_fruit_is_at_it(packed: Season) -> None:
    packed.do(actions.ahead.save_market_day, packed.book.market_days[DAY], [])
    # However long ago: until it is settled, nobody knows what came back.
    for later in (timedelta(hours=2), timedelta(days=20)):
        packed.read_as_on(NOW + BEGINS + later)
        asked = [d.record_id for d in day_sheet(packed, None).tasks if d.kind is DayTaskKind.SETTLE]
        assert DAY in asked


def test_what_came_back_is_at_home_again(packed: Season) -> None:
    part = part_of(packed)
    packed.read_as_on(NOW + BEGINS + timedelta(hours=6))
    outcomes = [BatchOutcome(part, 40, 30, 0), BatchOutcome(TICKED, 25, 20, 0)]
    packed.do(actions.settling.settle, DAY, outcomes, packed.now(), None)
    state = packed.state
    assert at_home(state.book, state.crops, state.now) is state.book
    packed.read_as_on(packed.now() + timedelta(minutes=2))
    held = held_at(packed.book, packed.projection(), packed.now())
    assert (held[ROOM].fruit, held[SHELF].fruit) == (30.0, 55.0)
    fruit: dict[str, float] = {}
    for line in plan_of(packed).lines:
        fruit[line.batch_id] = fruit.get(line.batch_id, 0.0) + line.fruit
    assert fruit == pytest.approx({SQUEEZED: 20.0, part: 10.0, TICKED: 55.0})


def test_reckoned_twice_it_is_away_once(packed: Season) -> None:
    packed.read_as_on(NOW + BEGINS)
    state = packed.state
    home = at_home(state.book, state.crops, state.now)
    assert home.pins == {}
    assert sum(removal.count for removal in home.removals.values()) == 65
    assert at_home(home, state.crops, state.now) is home

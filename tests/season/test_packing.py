"""The packing list: what is taken first, what is opened next, what stays, how many in all."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.planning.problem import MORE_SHARE
from ripenroom.records.market import ExpectedPick, Pin, Want
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.actions.packing import Squeezed, can_be_packed
from ripenroom.season.moments import to_hours
from ripenroom.season.packing import PackingOfCrop, PackLine, packing_list
from ripenroom.season.plans.plan import Plan, PlannedMove
from ripenroom.season.projection import FruitState
from ripenroom.season.projector import Projector
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.conftest import Open
from tests.season.farm import COLD, NOW, ROOM, batch_and_move, farm_records, market
from tests.season.plans.planned import planned
from tests.season.plans.planning import CROPS, LISBON
from tests.season.plans.random_farm import crowded_farm, random_farm
from tests.worked_out import plan_of

DAY, LATER = "market 0.2", "market 4.0"
BATCHES = RIPE, HALF, UNRIPE, COLD_RIPE = "batch 1", "batch 2", "batch 3", "batch 4"


@pytest.fixture
def farm(open_season: Open) -> Season:
    """Four batches before a market of this morning; another is in four days.

    One is ripe, one half ripe, one hard, all of them warm; one is ripe and cold.
    """
    day, wants = market(0.2, {"pawpaw": 40})
    later, more = market(4.0, {"pawpaw": 40})
    records = [*farm_records(), day, *wants, later, *more]
    for number, place, feel in (
        (1, ROOM, (0, 0, 0, 50, 0)),
        (2, ROOM, (0, 0, 25, 25, 0)),
        (3, ROOM, (50, 0, 0, 0, 0)),
        (4, COLD, (0, 0, 0, 50, 0)),
    ):
        records += batch_and_move(number, place, count=50, feel_counts=feel)
    return open_season(*records)


def with_lines(farm: Season, *lines: object) -> Plan:
    return replace(plan_of(farm), lines=lines)  # type: ignore[arg-type]


def crop_of(farm: Season, plan: Plan | None, day: str = DAY) -> PackingOfCrop:
    [crop] = farm.ask.packing_list(day, plan).crops
    return crop


def ids(lines: tuple[PackLine, ...]) -> list[str]:
    return [line.batch_id for line in lines]


def every(crop: PackingOfCrop) -> list[PackLine]:
    return [*crop.take, *crop.open_next, *crop.leave]


def test_what_is_planned_comes_first_and_the_readiest_of_it(farm: Season) -> None:
    lines = [planned(HALF, 1, market_day_id=DAY), planned(RIPE, 1, market_day_id=DAY)]
    crop = crop_of(farm, with_lines(farm, *lines))
    assert ids(crop.take) == [RIPE, HALF]
    assert [(line.crates, line.fruit) for line in crop.take] == [(1, 25), (1, 25)]
    assert sum(line.fruit for line in every(crop)) == 200
    first, second = crop.take
    assert first.ready.mid > second.ready.mid
    assert crop.ready.mid == pytest.approx(first.ready.mid + second.ready.mid)
    for line in every(crop):
        assert 0.0 <= line.ready.low <= line.ready.mid <= line.ready.high <= line.fruit
    # Doubt is shared: together they are less far off than the sum of the ends.
    assert first.ready.low + second.ready.low <= crop.ready.low + 1e-9
    assert UNRIPE in ids(crop.leave)


def test_the_list_and_the_plan_say_the_same_number(farm: Season) -> None:
    """What the day sheet says will be ready is what the list counts on, and so does the plan."""
    plan = plan_of(farm)
    crop = crop_of(farm, plan)
    mine = {x.batch_id: x for x in plan.lines if x.market_day_id == DAY}
    assert mine
    assert set(ids(crop.take)) == set(mine)
    for line in crop.take:
        share = mine[line.batch_id].expected_ready_share
        assert line.ready.mid == pytest.approx(share * line.fruit, rel=1e-6)
    (market_day,) = [one for one in plan.markets if one.market_day_id == DAY]
    assert market_day.ready.mid == pytest.approx(crop.ready.mid, rel=1e-6)
    assert (market_day.ready.low, market_day.ready.high) == (crop.ready.low, crop.ready.high)


def test_without_a_plan_all_is_opened_by_what_it_is_worth_now(farm: Season) -> None:
    crop = crop_of(farm, None)
    assert crop.take == ()
    assert ids(crop.open_next)[0] == RIPE
    assert UNRIPE in ids(crop.leave)


def test_what_keeps_in_the_cold_is_opened_after_what_spoils(farm: Season) -> None:
    [first, *_] = crop_of(farm, None).open_next
    assert first.batch_id == RIPE
    # Alike but for the cold, that one has a market day to be kept for.
    [cold] = [line for line in every(crop_of(farm, None)) if line.batch_id == COLD_RIPE]
    [warm] = [line for line in every(crop_of(farm, None)) if line.batch_id == RIPE]
    assert cold.later_day_id == LATER
    assert warm.later_day_id is None


def test_what_a_plan_keeps_for_a_later_day_says_so(farm: Season) -> None:
    crop = crop_of(farm, with_lines(farm, planned(HALF, 2, market_day_id=LATER)))
    [half] = [line for line in every(crop) if line.batch_id == HALF]
    assert half.later_day_id == LATER


def test_what_goes_to_an_earlier_market_day_is_not_there_for_a_later_one(
    farm: Season,
) -> None:
    sold = planned(COLD_RIPE, 1, second_grade=True, pull_at=NOW + timedelta(days=1))
    plan = with_lines(farm, planned(RIPE, 1, market_day_id=DAY), sold)
    later = crop_of(farm, plan, LATER)
    fruit = {key: sum(x.fruit for x in every(later) if x.batch_id == key) for key in BATCHES}
    assert fruit == {RIPE: 25, HALF: 50, UNRIPE: 50, COLD_RIPE: 25}
    assert all(line.later_day_id is None for line in every(later))
    # For the day itself all of it is there.
    assert sum(line.fruit for line in every(crop_of(farm, plan))) == 200


def test_what_goes_to_another_market_of_the_same_hour_is_not_offered(farm: Season) -> None:
    other = replace(farm.book.market_days[DAY], id="other", name="Fair")
    farm.do(actions.ahead.save_market_day, other, [])
    crop = crop_of(farm, with_lines(farm, planned(RIPE, 2, market_day_id="other")))
    assert RIPE not in ids(tuple(every(crop)))


def test_a_dearer_day_ahead_keeps_ripe_fruit_that_lasts_at_home(farm: Season) -> None:
    [want] = [w for w in farm.book.wants.values() if w.market_day_id == LATER]
    dear = Want(id=want.id, market_day_id=LATER, crop="pawpaw", count=40, price_minor=900)
    [now] = [w for w in farm.book.wants.values() if w.market_day_id == DAY]
    farm.do(actions.ahead.save_market_day, farm.book.market_days[LATER], [dear])
    farm.do(
        actions.ahead.save_market_day, farm.book.market_days[DAY], [replace(now, price_minor=100)]
    )
    crop = crop_of(farm, None)
    assert COLD_RIPE in ids(crop.leave)
    assert RIPE in ids(crop.open_next)


def test_as_many_are_brought_as_are_wanted_and_as_buyers_take_beyond(farm: Season) -> None:
    [want] = [w for w in farm.book.wants.values() if w.market_day_id == DAY]
    crop = crop_of(farm, None)
    assert crop.wanted == want.count == 40
    # Ripe fruit in the warm has no better day ahead.
    assert crop.bring == 40 + round(MORE_SHARE * 40)
    farm.do(actions.ahead.save_market_day, farm.book.market_days[DAY], [replace(want, count=400)])
    short = crop_of(farm, None)
    assert short.bring <= 400 + round(MORE_SHARE * 400)


def test_what_stands_packed_is_counted_and_not_offered_again(farm: Season) -> None:
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(RIPE, 18, 5, 2)], NOW)
    farm.learn()
    crop = crop_of(farm, None)
    assert crop.packed == 18
    assert crop.still == crop.bring - 18
    [part] = [batch.id for batch in farm.book.batches.values() if batch.taken]
    assert part not in ids(tuple(every(crop)))
    assert sum(line.fruit for line in every(crop)) == 200 - 20


def test_what_stands_packed_for_another_day_is_not_offered(farm: Season) -> None:
    pin = Pin(id="pin", batch_id=RIPE, crates=1, market_day_id=LATER, packed_at=NOW)
    farm.do(actions.pins.pin, pin)
    crop = crop_of(farm, None)
    assert crop.packed == 0
    [ripe] = [line for line in every(crop) if line.batch_id == RIPE]
    assert (ripe.crates, ripe.fruit) == (1, 25)


def test_plan_and_list_split_a_batch_alike(open_season: Open) -> None:
    """26 fruit in two crates, of which one goes to each of two market days."""
    day, wants = market(0.2, {"pawpaw": 13})
    later, more = market(1.2, {"pawpaw": 13})
    made = batch_and_move(1, COLD, count=26, feel_counts=(0, 0, 10, 10, 0))
    season = open_season(*farm_records(), day, *wants, later, *more, *made)
    for number, own in enumerate((day, later)):
        pin = Pin(id=f"pin {number}", batch_id="batch 1", crates=1, market_day_id=own.id)
        season.do(actions.pins.pin, pin)
    plan = plan_of(season)
    for own in (day, later):
        [line] = [line for line in plan.lines if line.market_day_id == own.id]
        [opened] = crop_of(season, plan, own.id).take
        assert (opened.crates, opened.fruit) == (line.crates, round(line.fruit)) == (1, 13)
        # Ticked, it is as many.
        season.do(actions.pins.pack, line, NOW)
        assert crop_of(season, plan_of(season), own.id).packed == 13


def test_where_enough_is_packed_nothing_is_opened(farm: Season) -> None:
    some = [Squeezed(RIPE, 30, 20, 0), Squeezed(COLD_RIPE, 30, 20, 0)]
    farm.do(actions.packing.pack_squeezed, DAY, some, NOW)
    # What a plan from before the squeeze would bring besides stays too.
    crop = crop_of(farm, with_lines(farm, planned(HALF, 1, market_day_id=DAY)))
    assert (crop.packed, crop.still, crop.enough) == (60, 0, True)
    assert (crop.take, crop.open_next, crop.ready.high) == ((), (), 0.0)
    assert sum(line.fruit for line in crop.leave) == 140


def test_planned_fruit_that_nobody_has_picked_yet_is_counted(farm: Season) -> None:
    on = farm.now().date()
    pick = ExpectedPick(id="pick", crop="pawpaw", on=on, count=30, place_id=ROOM)
    farm.do(actions.ahead.save_expected_pick, pick)
    to_come = planned("", 1, market_day_id=DAY, expected_pick_id="pick", fruit=15.0)
    plan = with_lines(farm, to_come, planned(RIPE, 1, market_day_id=DAY))
    assert crop_of(farm, plan).to_pick == 15
    assert crop_of(farm, plan, LATER).to_pick == crop_of(farm, None).to_pick == 0


def test_likely_stops_when_enough_are_expected(farm: Season) -> None:
    crop = crop_of(farm, None)
    ready = [line.ready.mid for line in crop.likely]
    assert sum(ready[:-1]) < crop.still
    assert set(crop.likely) <= {*crop.take, *crop.open_next}


def test_an_empty_farm_and_a_day_that_wants_nothing(open_season: Open) -> None:
    day, wants = market(0.2, {"pawpaw": 40})
    plain, _ = market(1.0, {})
    season = open_season(*farm_records(), day, *wants, plain)
    crop = crop_of(season, None)
    assert (crop.bring, every(crop), crop.likely) == (40, [], ())
    assert season.ask.packing_list(plain.id, None).crops == ()
    with pytest.raises(Refusal):
        season.ask.packing_list("none", None)


def test_a_day_that_is_settled_has_no_list(farm: Season) -> None:
    starts = farm.book.market_days[DAY].starts_at
    farm.read_as_on(starts + timedelta(hours=3))
    farm.do(actions.settling.settle, DAY, [], starts + timedelta(hours=2), None)
    with pytest.raises(Refusal, match="already"):
        farm.ask.packing_list(DAY, None)


def test_what_gives_less_than_one_ready_fruit_in_ten_is_not_opened(open_season: Open) -> None:
    day, wants = market(0.2, {"pawpaw": 40})
    few = batch_and_move(1, ROOM, count=50, feel_counts=(0, 45, 0, 5, 0))
    some = batch_and_move(2, ROOM, count=50, feel_counts=(0, 40, 0, 10, 0))
    never = batch_and_move(3, ROOM, count=50, feel_counts=(45, 0, 0, 5, 0))
    crop = crop_of(open_season(*farm_records(), day, *wants, *few, *some, *never), None)
    shares = {line.batch_id: line.ready.mid / line.fruit for line in every(crop)}
    assert 0.05 < shares["batch 1"] < 0.1 < shares["batch 2"]
    assert 0.05 < shares["batch 3"] < 0.1
    assert ids(crop.open_next) == ["batch 2"]
    assert sorted(ids(crop.leave)) == ["batch 1", "batch 3"]


def test_what_is_past_is_never_opened_next(open_season: Open) -> None:
    """It was soft or too soft when it was picked yesterday: past, though some still feels ready."""
    day, wants = market(0.2, {"pawpaw": 40})
    past = batch_and_move(1, ROOM, count=50, feel_counts=(0, 0, 0, 36, 14))
    ripe = batch_and_move(2, ROOM, count=50, feel_counts=(0, 0, 0, 50, 0))
    season = open_season(*farm_records(), day, *wants, *past, *ripe)
    line = season.projection().line_of["batch 1"]
    assert season.projection().state[line] == FruitState.PAST
    crop = crop_of(season, None)
    [left] = crop.leave
    assert (left.batch_id, ids(crop.open_next)) == ("batch 1", ["batch 2"])
    assert left.ready.mid > 0.1 * left.fruit
    # Where the plan brings it all the same, it is opened in the plan's order.
    assert ids(crop_of(season, with_lines(season, planned("batch 1", 1, market_day_id=DAY))).take)


def test_on_no_farm_anything_past_is_opened_next() -> None:
    opened = past = 0
    for book in (*map(random_farm, range(3)), *map(crowded_farm, range(3))):
        state = SeasonState(book, CROPS, NOW, LISBON)
        outlook = Projector.of(state).outlook(state.book, NOW)
        past_h = dict(zip(outlook.lines.ids, outlook.past_h.tolist(), strict=True))
        for day in (day for day in book.market_days.values() if can_be_packed(day, NOW)):
            starts_h = to_hours(day.starts_at)
            for crop in packing_list(state, day.id, None).crops:
                opened += len(crop.open_next)
                past += sum(past_h[line.batch_id] <= starts_h for line in crop.leave)
                assert all(past_h[line.batch_id] > starts_h for line in crop.open_next)
    assert opened > 0
    assert past > 0


def test_what_the_plan_moves_into_the_cold_for_a_later_day_is_opened_after_what_it_gives_up(
    farm: Season,
) -> None:
    """Where it stands now it would be the best to open; but that is where it won't stand."""
    first, second = (NOW + timedelta(hours=1), NOW + timedelta(days=1))
    kept = planned(
        RIPE, 2, market_day_id=LATER, pull_at=first, to_place_id=COLD,
        steps=(PlannedMove(first, COLD),), expected_ready_share=0.9,
    )  # fmt: skip
    sold = planned(HALF, 2, second_grade=True, pull_at=second, expected_ready_share=0.9)
    crop = crop_of(farm, with_lines(farm, kept, sold))
    opened = ids(crop.open_next)
    assert HALF in opened
    assert RIPE not in opened or opened.index(HALF) < opened.index(RIPE)
    [half] = [line for line in every(crop) if line.batch_id == HALF]
    assert (half.later_day_id, half.second_grade_at) == (None, second)
    [ripe] = [line for line in every(crop) if line.batch_id == RIPE]
    assert (ripe.later_day_id, ripe.moved_to_id) == (LATER, COLD)

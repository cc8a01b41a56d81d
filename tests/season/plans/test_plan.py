"""The plan of a season: of the practice farm, and of farms with nothing to plan."""

import threading
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from ripenroom.records.book import Book
from ripenroom.records.place import Place
from ripenroom.season import actions
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.expected_picks import PICKED_AT
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    UNUSED,
    batch_and_move,
    entry,
    farm_records,
    market,
    nothing_more,
)
from tests.season.plans.planning import make_plan, plan_of
from tests.worked_out import plan_of as plan_once


def where(book: Book, line: PlannedItinerary, at: datetime) -> str | None:
    """Where a line's crates stand at a time ahead; None once they are sold or cleared away."""
    day = book.market_days.get(line.market_day_id or "")
    if line.second_grade:
        return line.from_place_id if line.pull_at and at < line.pull_at else None
    if line.to_place_id is None or (day and at >= day.starts_at):
        return None
    pick = book.expected_picks.get(line.expected_pick_id or "")
    if pick is not None and at < datetime.combine(pick.on, PICKED_AT, tzinfo=at.tzinfo):
        return None
    made = [(line.from_place_id, None), *((step.place_id, step.at) for step in line.steps)]
    return [place for place, when in made if when is None or when <= at][-1]


def crates_there(book: Book, plan: Plan, at: datetime) -> dict[str, int]:
    found = dict.fromkeys(book.places, 0)
    for line in plan.lines:
        place = where(book, line, at)
        if place is not None:
            found[place] += line.crates
    return found


def test_every_crate_of_the_practice_farm_has_its_place(practice: Season) -> None:
    plan, book, now = plan_once(practice), practice.book, practice.now()
    projection = practice.projection()
    for batch in book.batches.values():
        planned = sum(line.crates for line in plan.lines if line.batch_id == batch.id)
        left = projection.left[projection.line_of[batch.id]]
        per_crate = practice.crops[batch.crop].fruit_per_crate.value
        assert (planned - 1) * per_crate < left <= max(planned * per_crate, 0.0)
    for line in plan.lines:
        assert line.crates >= 1
        if line.expected_pick_id is not None:
            continue
        place = practice.place_of(line.batch_id)
        assert place is not None
        assert line.from_place_id == place.id
        if line.second_grade:
            assert line.market_day_id is None
            continue
        if line.market_day_id:
            day = book.market_days[line.market_day_id]
            assert day.starts_at > now
            assert line.pull_at is None or now < line.pull_at < day.starts_at
            wanted = {w.crop for w in book.wants.values() if w.market_day_id == day.id}
            assert book.batches[line.batch_id].crop in wanted
            assert 0.0 < line.expected_ready_share <= 1.0
        else:
            assert line.expected_value_minor == 0.0


def test_no_place_of_the_practice_farm_is_too_full(practice: Season) -> None:
    plan, book, now = plan_once(practice), practice.book, practice.now()
    stands = crates_there(book, replace(plan, lines=_as_they_stand(plan)), now)
    projection = practice.projection()

    def still_there(line: PlannedItinerary, at: datetime) -> bool:
        """Whether a line counts: what is left is cleared away once it is past."""
        left = line.market_day_id is None and not line.second_grade
        if not left or line.expected_pick_id:
            return True
        closes_h = projection.closes_h.mid[projection.line_of[line.batch_id]]
        return not closes_h <= to_hours(at)

    evening = now.astimezone(practice.zone).replace(hour=18, minute=0, second=0)
    for days in range(20):
        at = evening + timedelta(days=days)
        lines = tuple(line for line in plan.lines if still_there(line, at))
        there = crates_there(book, replace(plan, lines=lines), at)
        for place in book.places.values():
            if place.capacity_crates is not None:
                assert there[place.id] <= max(place.capacity_crates, stands[place.id])


def _as_they_stand(plan: Plan) -> tuple[PlannedItinerary, ...]:
    return tuple(
        replace(line, pull_at=None, steps=(), to_place_id=line.from_place_id, market_day_id=None)
        for line in plan.lines
    )


def test_its_worth_is_that_of_its_lines_and_beats_the_simple_rules(practice: Season) -> None:
    plan = plan_once(practice)
    paid_minor = sum(line.expected_value_minor for line in plan.lines)
    assert plan.outcome.value.mean == pytest.approx(paid_minor)
    assert plan.outcome.handling > 0.0
    assert plan.outcome.net == pytest.approx(paid_minor - plan.outcome.handling)
    # Whole crates cost up to 2.4 % at this size: an exact search among them (20,000 branches, all
    # itineraries) finds the same plan. Near markets take fewer crates, so each weighs more.
    assert 0.0 <= plan.gap <= 0.025
    for rule in (plan.first_in_first_out, plan.first_expired_first_out, plan.as_it_is):
        # Avocados and pears are likely too, of which the grower said less: both are with them.
        assert 0.0 < rule.value.mean < plan.with_likely.value.mean
    assert plan.outcome.value.low < plan.outcome.value.mean < plan.outcome.value.high


def test_a_move_that_is_written_down_stands(practice: Season) -> None:
    now, book = practice.now(), practice.book
    ahead = {m.batch_id: m for m in book.moves.values() if m.at > now}
    pinned = [line for line in plan_once(practice).lines if line.batch_id in ahead]
    assert pinned
    for line in pinned:
        move = ahead[line.batch_id]
        day = book.market_days.get(line.market_day_id or "")
        if line.to_place_id is not None and not (day and day.starts_at < move.at):
            assert (line.pull_at, line.to_place_id) == (move.at, move.place_id)


def test_nothing_is_written(practice: Season) -> None:
    before, book = practice.path.read_bytes(), practice.book
    plan_of(practice)
    assert practice.path.read_bytes() == before
    assert practice.book is book


@pytest.mark.long
def test_the_same_plan_every_time_and_in_any_order(practice: Season) -> None:
    plan, book = plan_once(practice), practice.book
    again = plan_of(practice, plan)
    assert (again.lines, again.outcome) == (plan.lines, plan.outcome)
    assert again.gap == pytest.approx(plan.gap, abs=5e-4)
    backwards = replace(
        book,
        batches=dict(reversed(list(book.batches.items()))),
        moves=dict(reversed(list(book.moves.items()))),
        market_days=dict(reversed(list(book.market_days.items()))),
        wants=dict(reversed(list(book.wants.items()))),
    )
    assert make_plan(SeasonState(backwards, practice.crops, practice.now(), practice.zone)) == plan


def test_a_little_later_the_plan_is_much_the_same(practice: Season) -> None:
    first = plan_once(practice)
    practice.read_as_on(practice.now() + timedelta(hours=1))
    ways = {(li.batch_id, li.pull_at, li.to_place_id, li.market_day_id) for li in first.lines}
    then = plan_of(practice, first).lines
    kept = [
        li for li in then if (li.batch_id, li.pull_at, li.to_place_id, li.market_day_id) in ways
    ]
    assert len(kept) >= 0.8 * len(then)


@pytest.mark.parametrize("within", [0, 1, None])
def test_the_share_is_what_comes_of_making_the_move(living: Season, within: int | None) -> None:
    (batch,) = living.do(actions.picks.add, entry(place_id=COLD, count=20))
    day, wants = market(6, {"pawpaw": 40}, eat_within_days=within)
    living.do(actions.ahead.save_market_day, day, wants)
    (line,) = [li for li in plan_of(living).lines if li.market_day_id]
    assert line.pull_at is not None
    assert line.to_place_id is not None
    living.do(actions.moves.move, [batch.id], line.to_place_id, line.pull_at)
    (supply,) = living.supply()
    assert supply.ready == pytest.approx(20.0 * line.expected_ready_share, rel=1e-3)
    (again,) = plan_of(living).lines
    assert (again.pull_at, again.to_place_id) == (line.pull_at, line.to_place_id)
    assert again.expected_ready_share == pytest.approx(line.expected_ready_share, rel=1e-3)


def test_no_single_move_would_sell_more_of_one_batch(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(place_id=COLD, count=20))
    living.do(actions.ahead.save_market_day, *market(6, {"pawpaw": 40}))
    (line,) = plan_of(living).lines
    best = 20.0 * line.expected_ready_share
    for place in {*living.book.places} - {COLD}:
        for days in range(6):
            living.do(actions.moves.move, [batch.id], place, NOW + timedelta(days=days, hours=9.5))
            assert living.supply()[0].ready <= best * 1.001
            living.undo()


# Farms with little or nothing to plan


def left_alone(plan: Plan) -> bool:
    """Whether nothing is moved or sold."""
    return all(line.pull_at is None and line.market_day_id is None for line in plan.lines)


def test_no_batches(living: Season) -> None:
    living.do(actions.ahead.save_market_day, *market(3, {"pawpaw": 30}))
    plan = plan_of(living)
    assert (plan.lines, plan.outcome.value.mean, plan.gap) == ((), 0.0, 0.0)


def test_no_market_days(living: Season) -> None:
    living.do(actions.picks.add, entry())
    plan = plan_of(living)
    assert left_alone(plan)
    assert [line.to_place_id for line in plan.lines] == [COLD]
    assert (plan.gap, plan.outcome.value.mean) == (0.0, 0.0)


def test_nothing_ready_in_time(living: Season) -> None:
    living.do(actions.picks.add, entry(feel_counts=(30, 0, 0, 0, 0)))
    living.do(actions.ahead.save_market_day, *market(0.1, {"pawpaw": 30}))
    assert left_alone(plan_of(living))


def test_market_days_that_are_over_far_off_or_want_other_crops(living: Season) -> None:
    living.do(actions.picks.add, entry(feel_counts=(0, 0, 0, 20, 0), place_id=ROOM))
    for days, crop in ((-1, "pawpaw"), (80, "pawpaw"), (1, "pear")):
        living.do(actions.ahead.save_market_day, *market(days, {crop: 30}))
    # Nothing is sold; ripe fruit may be put in the cold, where it keeps.
    for line in plan_of(living).lines:
        assert line.market_day_id is None
        assert {step.place_id for step in line.steps} <= {COLD}
    living.do(actions.ahead.save_market_day, *market(0.2, {"pawpaw": 30}))
    assert any(line.market_day_id for line in plan_of(living).lines)


def test_a_batch_with_nothing_left_is_not_planned(living: Season) -> None:
    gone, there = (living.do(actions.picks.add, entry(place_id=ROOM))[0] for _ in range(2))
    living.do(actions.ahead.save_market_day, *market(2, {"pawpaw": 30}))
    living.do(actions.batches.take_out, gone.id, 20, "discarded", NOW)
    assert {line.batch_id for line in plan_of(living).lines} == {there.id}


def test_fruit_that_is_not_picked_yet_is_not_planned(open_season: Open) -> None:
    later = batch_and_move(1, picked_at=NOW + timedelta(days=2))
    living = open_season(*farm_records(), *later)
    living.do(actions.ahead.save_market_day, *market(9, {"pawpaw": 30}))
    assert plan_of(living).lines == ()


@pytest.mark.parametrize("wanted", [10, 100_000])
def test_demand_far_below_and_far_above_what_there_is(living: Season, wanted: int) -> None:
    for _ in range(6):
        # Ripe: it will not keep for another market day.
        living.do(actions.picks.add, entry(place_id=ROOM, count=60, feel_counts=(0, 0, 0, 20, 0)))
    living.do(actions.ahead.save_market_day, *market(1, {"pawpaw": wanted}))
    plan = plan_of(living)
    sold = sum(line.crates for line in plan.lines if line.market_day_id)
    crates = sum(line.crates for line in plan.lines)
    # A second crate may be worth its doubt, since the first may hold too few that are ready.
    assert sold == crates if wanted > 10 else sold in (1, 2)
    assert plan.outcome.sold.high <= 1.25 * wanted


def test_a_place_that_is_over_its_capacity_already(open_season: Open) -> None:
    batches = [record for n in range(5) for record in batch_and_move(n, COLD, count=90)]
    small = Place(id=COLD, name="Cold", kind="cold room", half_cooling_h=5.0, capacity_crates=1)
    living = open_season(*farm_records(), *batches)
    living.do(actions.places.save, small)
    living.do(actions.ahead.save_market_day, *market(6, {"pawpaw": 200}))
    plan = plan_of(living)
    assert plan.outcome.value.mean > 0.0
    assert all(line.to_place_id is not None for line in plan.lines)


def test_room_is_made_where_it_pays(open_season: Open) -> None:
    """One crate of room to ripen in, and fruit there that nobody can sell."""
    hopeless = batch_and_move(1, ROOM, feel_counts=(0, 0, 0, 0, 20))
    good = batch_and_move(2, COLD)
    living = open_season(*farm_records(), *hopeless, *good, nothing_more())
    for place in living.book.places.values():
        living.do(actions.places.save, replace(place, capacity_crates=1))
    for key in (SHELF, UNUSED):
        living.do(actions.places.set_set_point, key, 3.0)
    living.do(actions.ahead.save_market_day, *market(6, {"pawpaw": 30}))
    lines = {line.batch_id: line for line in plan_of(living).lines}
    assert lines["batch 2"].to_place_id == ROOM
    assert lines["batch 1"].to_place_id in (None, ROOM)
    assert lines["batch 1"].market_day_id is None


def test_a_cancelled_plan_is_whole(practice: Season) -> None:
    cancel = threading.Event()
    cancel.set()
    plan = plan_of(practice, cancel=cancel)
    assert plan.lines
    assert plan.gap <= 1.0
    assert plan_of(practice, steps=0).gap > 0.0

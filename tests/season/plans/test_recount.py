"""Plans of random farms, counted again by someone who knows nothing of how they are made.

``RIPENROOM_RECOUNTS=200 python -m pytest -s tests/season/plans/test_recount.py`` counts more.
"""

import os
from collections import Counter
from collections.abc import Sequence
from datetime import datetime

import pytest

from ripenroom.planning.baselines import as_it_is, first_expired_first_out, first_in_first_out
from ripenroom.records.book import Book
from ripenroom.records.market import Pin
from ripenroom.records.place import Place
from ripenroom.season.advice.shared_itineraries import worth
from ripenroom.season.moments import from_hours
from ripenroom.season.plans.expected_picks import with_expected
from ripenroom.season.plans.pinned_itineraries import ground
from ripenroom.season.plans.plan import Plan
from ripenroom.season.plans.planner import Planner
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from tests.draws import first_every_day
from tests.planning.made import too_full
from tests.season.farm import COLD, NOW, ROOM, UNUSED
from tests.season.plans.planning import CROPS, LISBON, evening, farm_book, market_records, planned
from tests.season.plans.random_farm import random_farm
from tests.season.plans.recount import Recount

FARMS = int(os.environ.get("RIPENROOM_RECOUNTS", "40"))
_BLOCKS = 8
_EVERYDAY = _BLOCKS if "RIPENROOM_RECOUNTS" in os.environ else 1


def closes(book: Book) -> dict[str, datetime]:
    """When each batch and each expected pick is past, as the projection has it."""
    whole, pick_of = with_expected(SeasonState(book, CROPS, NOW, LISBON))
    projector = Projector(CROPS, LISBON)
    dates = projector.projection(projector.outlook(whole, NOW), NOW)
    return {
        pick_of.get(key, key): from_hours(hour, LISBON)
        for key, hour in zip(dates.batch_ids, dates.closes_h.mid.tolist(), strict=True)
        if hour == hour and hour < 1e9
    }


def faults(book: Book, plan: Plan, pins: Sequence[Pin] = ()) -> list[str]:
    return Recount(book.with_changes(pins), plan, CROPS, LISBON, closes(book)).faults()


@pytest.mark.parametrize("block", first_every_day(range(_BLOCKS), _EVERYDAY))
def test_every_crate_of_every_plan_is_where_it_can_be(block: int) -> None:
    seen: Counter[str] = Counter()
    wrong: dict[int, list[str]] = {}
    for seed in range(block, FARMS, _BLOCKS):
        book = random_farm(seed)
        plan = Planner(SeasonState(book, CROPS, NOW, LISBON)).plan()
        seen["lines"] += len(plan.lines)
        seen["moves"] += sum(len(line.steps) for line in plan.lines)
        if found := faults(book, plan):
            wrong[seed] = found
    print(dict(seen))
    assert seen["moves"] > 0
    assert wrong == {}


@pytest.mark.parametrize("seed", first_every_day(range(0, FARMS, 4), 4 * _EVERYDAY))
def test_rules_and_cut_crates_are_held_to_the_same_room(seed: int) -> None:
    laid = ground(SeasonState(random_farm(seed), CROPS, NOW, LISBON))
    problem = laid.problem
    for crates in (
        first_in_first_out(problem, laid.lines.batches.picked_h),
        first_expired_first_out(problem, laid.closes_h),
        as_it_is(problem),
        worth(problem).crates,
    ):
        assert not too_full(problem, crates).any()


@pytest.mark.parametrize("seed", first_every_day(range(0, FARMS, 4), 4 * _EVERYDAY))
def test_a_plan_made_again_with_another_pin_is_counted_alike(seed: int) -> None:
    book = random_farm(seed)
    replanner = Planner(SeasonState(book, CROPS, NOW, LISBON))
    plan = replanner.plan()
    moved = [line for line in plan.lines if line.batch_id and line.steps and not line.pin_id]
    if not moved:
        return
    line = moved[seed % len(moved)]
    pins = [
        Pin(
            id="another",
            batch_id=line.batch_id,
            crates=line.crates,
            pull_at=line.steps[-1].at,
            place_id=line.steps[-1].place_id,
            market_day_id=line.market_day_id,
        )
    ]
    again = replanner.plan(plan, extra_pins=pins)
    assert faults(book, again, pins) == []
    replanner.cost_of(pins)


def test_nothing_is_moved_into_a_room_that_is_too_full_until_it_is_eased() -> None:
    """Twelve crates stand in a ripening room for two; more would like to come from the cold."""
    full = [
        Place(id=key, name=key, kind="cold room", half_cooling_h=5.0, capacity_crates=holds)
        for key, holds in ((ROOM, 2), (COLD, None), ("shelf", 0), (UNUSED, 0))
    ]
    wanted = [*market_records(2, {"pawpaw": 400}), *market_records(9, {"pawpaw": 40})]
    warm = farm_book(*full, *wanted, batches=4, place=ROOM)
    cold = [
        record
        for record in farm_book(batches=6, place=COLD).batches.values()
        if record.id not in warm.batches
    ]
    moves = [m for m in farm_book(batches=6).moves.values() if m.batch_id not in warm.batches]
    book = warm.with_changes([*cold, *moves])
    plan = planned(book)
    assert faults(book, plan) == []
    comes = [step.at for line in plan.lines for step in line.steps if step.place_id == ROOM]
    # The room is eased by the first market day, and used again after it.
    assert comes
    assert min(comes) >= evening(2)

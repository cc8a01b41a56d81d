"""Moves of the plan that were really made."""

import math
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.market import Pin, SecondGrade
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.plans.plan import Clearing, PlannedItinerary, PlannedMove
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import COLD, NOW, ROOM, SHELF, batch_and_move, farm_records, market, refused
from tests.season.plans.planned import planned
from tests.season.writing import write

TONIGHT = NOW + timedelta(hours=11)
SATURDAY = "market 3"


@pytest.fixture
def farm(open_season: Open) -> Season:
    """A batch of two and a half crates in the cold room, and a market in three days."""
    day, wants = market(3, {"pawpaw": 30})
    living = open_season(*farm_records(), day, *wants, *batch_and_move(1, feel_counts=None))
    living.do(
        actions.batches.change,
        replace(living.book.batches["batch 1"], count=round(2.5 * crate(living))),
    )
    return living


def crate(living: Season) -> float:
    return living.crops["pawpaw"].fruit_per_crate.value


def one_of_three(living: Season) -> int:
    """Fruit in each of the three crates of the farm's batch: all of them hold alike many."""
    return round(round(2.5 * crate(living)) / 3)


def to_room(crates: int, **given: Any) -> PlannedItinerary:
    facts = {"pull_at": TONIGHT, "to_place_id": ROOM, "market_day_id": SATURDAY, **given}
    return planned("batch 1", crates, **facts)


def been(living: Season, batch_id: str) -> list[tuple[datetime, str]]:
    return [(move.at, move.place_id) for move in living.moves_of(batch_id)][1:]


@pytest.mark.parametrize("crates", [3, 5])
def test_a_whole_batch_is_moved_as_it_is(farm: Season, crates: int) -> None:
    assert farm.do(actions.carrying.carry_out, to_room(crates), NOW) == "batch 1"
    assert been(farm, "batch 1") == [(NOW, ROOM)]
    assert farm.undo_label == "move of P-0930-1 to Room"


def test_some_crates_become_a_batch_of_their_own_in_one_step(farm: Season) -> None:
    before = farm.book
    whole = before.batches["batch 1"]
    moved = farm.do(actions.carrying.carry_out, to_room(1), NOW)
    part = farm.book.batches[moved]
    assert (part.code, part.split_from, part.count) == ("P-0930-1a", "batch 1", one_of_three(farm))
    assert (farm.book.batches["batch 1"].count or 0) + (part.count or 0) == whole.count
    assert been(farm, moved) == [(NOW, ROOM)]
    assert been(farm, "batch 1") == []
    assert farm.undo() == "move of 1 crate of P-0930-1 to Room"
    assert farm.book == before


def test_a_move_that_was_written_down_ahead_is_the_one_that_was_made(farm: Season) -> None:
    farm.do(actions.moves.move, ["batch 1"], ROOM, TONIGHT)
    moved = farm.do(actions.carrying.carry_out, to_room(1), NOW)
    assert been(farm, moved) == [(NOW, ROOM)]
    assert been(farm, "batch 1") == [(TONIGHT, ROOM)]
    farm.do(actions.carrying.carry_out, to_room(2), NOW)
    assert been(farm, "batch 1") == [(NOW, ROOM)]


def test_the_pin_goes_along_and_its_pull_is_done(farm: Season) -> None:
    pin = Pin(
        id="pin",
        batch_id="batch 1",
        crates=1,
        pull_at=TONIGHT,
        place_id=ROOM,
        market_day_id=SATURDAY,
    )
    farm.do(actions.pins.pin, pin)
    moved = farm.do(actions.carrying.carry_out, to_room(1, pin_id="pin"), NOW)
    assert farm.book.pins == {"pin": replace(pin, batch_id=moved, pull_at=None, place_id=None)}


def test_of_several_moves_the_first_is_made_and_the_pin_keeps_its_own(farm: Season) -> None:
    later = TONIGHT + timedelta(days=1)
    pin = Pin(id="pin", batch_id="batch 1", crates=1, pull_at=later, place_id=ROOM)
    farm.do(actions.pins.pin, pin)
    steps = (PlannedMove(TONIGHT, SHELF), PlannedMove(later, ROOM))
    line = to_room(1, pull_at=later, steps=steps, pin_id="pin")
    moved = farm.do(actions.carrying.carry_out, line, NOW)
    assert been(farm, moved) == [(NOW, SHELF)]
    assert farm.book.pins == {"pin": replace(pin, batch_id=moved)}


@pytest.mark.parametrize(
    ("given", "at", "field"),
    [
        ({"pull_at": None, "to_place_id": None}, NOW, ""),
        ({"to_place_id": "gone"}, NOW, "place_id"),
        ({"to_place_id": COLD}, NOW, "place_id"),
        ({"from_place_id": SHELF}, NOW, ""),
        ({"batch_id": "gone"}, NOW, "batch_id"),
        ({"batch_id": "", "expected_pick_id": "pick"}, NOW, "batch_id"),
        ({}, NOW + timedelta(hours=1), "at"),
        ({}, NOW - timedelta(days=3), ""),
    ],
)
def test_what_cannot_be_carried_out_is_refused(
    farm: Season, given: dict[str, Any], at: datetime, field: str
) -> None:
    line = replace(to_room(1), **given)
    assert refused(farm, lambda: farm.do(actions.carrying.carry_out, line, at)).field == field


def test_second_grade_is_sold_at_its_price(farm: Season) -> None:
    farm.do(
        actions.ahead.save_second_grades, [SecondGrade(id="pulp", crop="pawpaw", price_minor=40)]
    )
    line = planned("batch 1", 1, second_grade=True, pull_at=TONIGHT)
    assert farm.do(actions.carrying.carry_out, line, NOW) == "batch 1"
    (gone,) = farm.book.removals.values()
    assert (gone.count, gone.outcome, gone.grade, gone.price_minor, gone.at) == (
        one_of_three(farm),
        "sold",
        "second",
        40,
        NOW,
    )
    assert farm.undo_label == f"{gone.count} of P-0930-1 for second grade"
    farm.do(actions.carrying.carry_out, replace(line, crates=2), NOW)
    assert sum(r.count for r in farm.book.removals.values()) == round(2.5 * crate(farm))
    empty = refused(farm, lambda: farm.do(actions.carrying.carry_out, line, NOW))
    assert "no fruit left" in empty.message


def test_what_was_weighed_is_split_by_crates_too(open_season: Open) -> None:
    weighed: tuple[Batch, Any] = batch_and_move(1, count=None, feel_counts=None, weight_kg=40.0)
    living = open_season(*farm_records(), *weighed)
    [whole] = living.projection().left
    moved = living.do(actions.carrying.carry_out, to_room(1, market_day_id=None), NOW)
    projection = living.projection()
    each = round(whole / math.ceil(whole / crate(living)))
    assert projection.left[projection.line_of[moved]] == pytest.approx(each, abs=1e-3)


def test_a_swap_is_one_action(farm: Season) -> None:
    for record in batch_and_move(2, ROOM):
        write(farm, Action("more", (record,)))
    before = farm.book
    back = planned("batch 2", 9, from_place_id=ROOM, pull_at=TONIGHT, to_place_id=COLD)
    moved = farm.do(actions.carrying.carry_out_all, [to_room(3), back], NOW)
    assert moved == ["batch 1", "batch 2"]
    assert [been(farm, key) for key in moved] == [[(NOW, ROOM)], [(NOW, COLD)]]
    assert farm.undo_label == "swap of P-0930-1 and P-0930-2"
    farm.undo()
    assert farm.book == before


def test_of_a_swap_that_cannot_be_nothing_is_done(farm: Season) -> None:
    before = farm.book
    elsewhere = to_room(1, from_place_id=SHELF)
    refused(farm, lambda: farm.do(actions.carrying.carry_out_all, [to_room(1), elsewhere], NOW))
    assert farm.book == before


def clearing(crates: int) -> Clearing:
    return Clearing((planned("batch 1", 3, pull_at=None, to_place_id=None),), crates, None)


def test_what_is_cleared_is_thrown_out_and_can_be_put_back(farm: Season) -> None:
    before = farm.book
    removal_id = farm.do(actions.carrying.clear, clearing(1), NOW)
    removal = farm.book.removals[removal_id]
    assert (removal.batch_id, removal.count) == ("batch 1", one_of_three(farm))
    assert (removal.outcome, removal.market_day_id) == ("discarded", None)
    assert farm.undo_label == f"{removal.count} of P-0930-1 cleared"
    farm.do(actions.carrying.put_back, removal_id)
    assert farm.book == before
    refused(farm, lambda: farm.do(actions.carrying.put_back, removal_id))


def test_with_all_its_crates_all_fruit_of_a_batch_is_cleared(farm: Season) -> None:
    removal_id = farm.do(actions.carrying.clear, clearing(99), NOW)
    assert farm.book.removals[removal_id].count == farm.book.batches["batch 1"].count


def test_crates_for_two_market_days_that_go_together_stay_one_batch(farm: Season) -> None:
    pins = [Pin(id=key, batch_id="batch 1", crates=1) for key in ("first", "second")]
    for pin in pins:
        farm.do(actions.pins.pin, pin)
    before = farm.book
    lines = [
        to_room(1, pin_id="first"),
        to_room(1, market_day_id=None, pin_id="second"),
    ]
    (moved,) = farm.do(actions.carrying.carry_out_all, lines, NOW)
    assert farm.undo_label == "move of 2 crates of P-0930-1 to Room"
    assert farm.book.batches[moved].code == "P-0930-1a"
    whole = before.batches["batch 1"].count or 0
    assert farm.book.batches[moved].count == round(whole * 2 / 3)
    assert {pin.batch_id for pin in farm.book.pins.values()} == {moved}
    farm.undo()
    assert farm.book == before

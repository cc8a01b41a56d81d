"""Crates that are decided already: pinned, and packed."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    batch_and_move,
    farm_records,
    market,
    refused,
)
from tests.season.plans.planned import planned

SATURDAY = "market 3"
TONIGHT = NOW + timedelta(hours=11)


@pytest.fixture
def farm(open_season: Open) -> Season:
    """A batch of three crates in the cold room, and a market in three days."""
    day, wants = market(3, {"pawpaw": 30})
    return open_season(*farm_records(), day, *wants, *batch_and_move(1, count=50))


@pytest.fixture
def batch(farm: Season) -> Batch:
    crate = farm.crops["pawpaw"].fruit_per_crate.value
    whole = replace(farm.book.batches["batch 1"], count=round(3 * crate), feel_counts=None)
    farm.do(actions.batches.change, whole)
    return whole


def pin(**given: Any) -> Pin:
    facts: dict[str, Any] = {"id": "pin", "batch_id": "batch 1", "crates": 2}
    return Pin(**{**facts, **given})


def test_crates_are_pinned_to_a_pull_and_a_market_and_taken_off_again(
    farm: Season, batch: Batch
) -> None:
    wanted = pin(pull_at=TONIGHT, place_id=ROOM, market_day_id=SATURDAY)
    farm.do(actions.pins.pin, wanted)
    assert farm.book.pins == {"pin": wanted}
    assert farm.undo_label == f"pin of 2 crates of {batch.code} for Quay"
    farm.do(actions.pins.unpin, "pin")
    assert not farm.book.pins
    assert farm.undo() == f"pin of 2 crates of {batch.code} taken off"
    assert farm.book.pins == {"pin": wanted}


def test_a_pin_may_keep_crates_from_every_market(farm: Season, batch: Batch) -> None:
    farm.do(actions.pins.pin, pin(crates=1))
    assert farm.undo_label == f"pin of 1 crate of {batch.code}"


def test_a_pin_is_changed_by_pinning_it_anew(farm: Season, batch: Batch) -> None:
    farm.do(actions.pins.pin, pin(crates=3))
    farm.do(actions.pins.pin, pin(crates=1, market_day_id=SATURDAY))
    assert farm.book.pins == {"pin": pin(crates=1, market_day_id=SATURDAY)}


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"batch_id": "gone"}, "batch_id"),
        ({"crates": 0}, "crates"),
        ({"crates": 4}, "crates"),
        ({"pull_at": TONIGHT}, "place_id"),
        ({"place_id": ROOM}, "pull_at"),
        ({"pull_at": TONIGHT, "place_id": "gone"}, "place_id"),
        ({"pull_at": TONIGHT, "place_id": COLD}, "place_id"),
        ({"pull_at": NOW, "place_id": ROOM}, "pull_at"),
        ({"pull_at": NOW + timedelta(days=500), "place_id": ROOM}, "pull_at"),
        (
            {"pull_at": NOW + timedelta(days=4), "place_id": ROOM, "market_day_id": SATURDAY},
            "pull_at",
        ),
        ({"market_day_id": "gone"}, "market_day_id"),
    ],
)
@pytest.mark.usefixtures("batch")
def test_a_pin_that_cannot_be_is_refused(farm: Season, given: dict[str, Any], field: str) -> None:
    assert refused(farm, lambda: farm.do(actions.pins.pin, pin(**given))).field == field


@pytest.mark.usefixtures("batch")
def test_crates_are_pinned_once(farm: Season) -> None:
    farm.do(actions.pins.pin, pin())
    refusal = refused(farm, lambda: farm.do(actions.pins.pin, pin(id="more")))
    assert (refusal.field, refusal.values["others"]) == ("crates", 2)
    farm.do(actions.pins.pin, pin(id="more", crates=1))
    assert (
        "pinned already"
        in refused(farm, lambda: farm.do(actions.pins.pin, pin(id="third"))).message
    )


def test_a_market_that_is_over_cannot_be_pinned_to(open_season: Open) -> None:
    day, wants = market(-1, {"pawpaw": 30})
    living = open_season(*farm_records(), day, *wants, *batch_and_move(1))
    wanted = pin(crates=1, market_day_id=day.id)
    assert refused(living, lambda: living.do(actions.pins.pin, wanted)).field == "market_day_id"


@pytest.mark.usefixtures("batch")
def test_a_move_that_is_written_down_stands(farm: Season) -> None:
    farm.do(actions.moves.move, ["batch 1"], SHELF, TONIGHT)
    later = pin(pull_at=TONIGHT + timedelta(hours=3), place_id=ROOM)
    assert refused(farm, lambda: farm.do(actions.pins.pin, later)).field == "pull_at"
    farm.do(actions.pins.pin, pin(market_day_id=SATURDAY))


@pytest.mark.usefixtures("batch")
def test_a_pull_whose_time_came_can_still_be_pinned_to_another_market(open_season: Open) -> None:
    day, wants = market(3, {"pawpaw": 30})
    past = pin(crates=1, pull_at=NOW - timedelta(hours=3), place_id=ROOM)
    living = open_season(*farm_records(), day, *wants, *batch_and_move(1), past)
    living.do(actions.pins.pin, replace(past, market_day_id=day.id))
    assert living.book.pins["pin"].market_day_id == day.id


@pytest.mark.parametrize(
    "given",
    [
        {"count": None, "weight_kg": 0.0, "feel_counts": None},
        {"count": None, "feel_counts": None, "weight_kg": 0.01},
        {"crop": "moonfruit"},
    ],
)
def test_nothing_can_be_pinned_of_a_batch_without_fruit_or_of_an_unknown_crop(
    open_season: Open, given: dict[str, Any]
) -> None:
    living = open_season(*farm_records(), *batch_and_move(1, **given))
    assert refused(living, lambda: living.do(actions.pins.pin, pin(crates=1))).field == "batch_id"


# Packing


@pytest.mark.usefixtures("batch")
def test_packed_crates_are_pinned_to_their_market(farm: Season) -> None:
    packed = farm.do(actions.pins.pack, planned("batch 1", 2, market_day_id=SATURDAY), NOW)
    assert packed == Pin(
        id=packed.id, batch_id="batch 1", crates=2, market_day_id=SATURDAY, packed_at=NOW
    )
    assert farm.book.pins == {packed.id: packed}
    assert farm.undo_label == "packing of 2 crates of P-0930-1 for Quay"
    farm.do(actions.pins.unpack, packed.id)
    assert farm.book.pins == {packed.id: replace(packed, packed_at=None)}
    assert farm.undo_label == "packing of 2 crates of P-0930-1 taken back"
    assert refused(farm, lambda: farm.do(actions.pins.unpack, packed.id)).field == ""
    assert refused(farm, lambda: farm.do(actions.pins.unpack, "gone")).field == ""


@pytest.mark.usefixtures("batch")
def test_packing_what_is_pinned_packs_the_pin(farm: Season) -> None:
    farm.do(actions.pins.pin, pin(market_day_id=SATURDAY))
    line = planned("batch 1", 2, market_day_id=SATURDAY, pin_id="pin")
    assert farm.do(actions.pins.pack, line, NOW) == pin(market_day_id=SATURDAY, packed_at=NOW)
    assert "packed already" in refused(farm, lambda: farm.do(actions.pins.pack, line, NOW)).message


@pytest.mark.usefixtures("batch")
def test_what_is_packed_before_its_pull_has_still_to_be_pulled(farm: Season) -> None:
    line = planned("batch 1", 1, market_day_id=SATURDAY, pull_at=TONIGHT, to_place_id=ROOM)
    packed = farm.do(actions.pins.pack, line, NOW)
    assert (packed.pull_at, packed.place_id) == (TONIGHT, ROOM)


@pytest.mark.parametrize(
    ("given", "at", "field"),
    [
        ({"market_day_id": None}, NOW, "market_day_id"),
        ({"market_day_id": "gone"}, NOW, "market_day_id"),
        ({"crates": 4}, NOW, "crates"),
        ({}, NOW + timedelta(hours=1), "at"),
        ({}, NOW - timedelta(days=3), "at"),
        ({"batch_id": "", "expected_pick_id": "pick"}, NOW, "batch_id"),
    ],
)
@pytest.mark.usefixtures("batch")
def test_what_cannot_be_packed_is_refused(
    farm: Season, given: dict[str, Any], at: datetime, field: str
) -> None:
    facts = {"batch_id": "batch 1", "crates": 1, "market_day_id": SATURDAY, **given}
    line = planned(**facts)
    assert refused(farm, lambda: farm.do(actions.pins.pack, line, at)).field == field


@pytest.mark.usefixtures("batch")
def test_crates_of_two_lines_are_packed_in_one_step(farm: Season) -> None:
    pinned = Pin(id="pin", batch_id="batch 1", crates=1, market_day_id=SATURDAY)
    other = replace(pinned, id="other")
    farm.do(actions.pins.pin, pinned)
    farm.do(actions.pins.pin, other)
    before = farm.book
    lines = [
        planned("batch 1", 1, market_day_id=SATURDAY),
        planned("batch 1", 1, market_day_id=SATURDAY, pin_id="pin"),
        planned("batch 1", 1, market_day_id=SATURDAY, pin_id="other"),
    ]
    packed = farm.do(actions.pins.pack_all, lines, NOW)
    assert farm.book.pins == {"pin": replace(pinned, crates=3, packed_at=NOW)}
    assert packed.id == "pin"
    farm.undo()
    assert farm.book == before

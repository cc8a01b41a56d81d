"""Fixing, deleting, moving, selling and discarding batches."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.refusal import Question
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    YESTERDAY,
    batch_and_move,
    entry,
    farm_records,
    market,
    refused,
)


@pytest.fixture
def batch(living: Season) -> Batch:
    return living.do(actions.picks.add, entry())[0]


def places_of(living: Season, batch_id: str) -> list[str]:
    return [move.place_id for move in living.moves_of(batch_id)]


# Mending


def test_a_mended_pick_time_takes_the_first_move_along(living: Season, batch: Batch) -> None:
    earlier = YESTERDAY - timedelta(days=2)
    living.do(actions.batches.change, replace(batch, picked_at=earlier))
    assert [move.at for move in living.moves_of(batch.id)] == [earlier]
    place = living.place_of(batch.id, earlier)
    assert place is not None
    assert place.id == COLD


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"count": -1}, "count"),
        ({"count": None, "feel_counts": None}, "count"),
        ({"crop": "medlar"}, "crop"),
        ({"picked_at": NOW + timedelta(days=1)}, "picked_at"),
        ({"picked_at": NOW - timedelta(days=100)}, "picked_at"),
        ({"pulp_c": 300.0}, "pulp_c"),
        ({"cultivar_id": "pears"}, "cultivar_id"),
        ({"id": "gone"}, "batch_id"),
    ],
)
def test_a_mended_batch_is_checked_like_a_new_one(
    living: Season, batch: Batch, given: dict[str, Any], field: str
) -> None:
    refusal = refused(living, lambda: living.do(actions.batches.change, replace(batch, **given)))
    assert refusal.field == field


def test_only_a_gauge_that_was_changed_is_asked_about(living: Season) -> None:
    soft: dict[str, Any] = {
        "feel_counts": None,
        "count": 9,
        "readings": (1.2,),
        "reading_unit": "N",
        "probe_mm": 11.0,
    }
    yes = frozenset({"readings", "probe_mm"})
    (batch,) = living.do(actions.picks.add, entry(**soft, answered=yes))
    living.do(actions.batches.change, replace(batch, note="by the wall"))
    other = replace(batch, readings=(1.1,))
    refusal = refused(living, lambda: living.do(actions.batches.change, other))
    assert isinstance(refusal, Question)
    living.do(actions.batches.change, other, answered=yes)
    assert living.book.batches[batch.id].readings == (1.1,)


def test_a_mended_batch_without_a_count_has_as_many_fruit_as_were_felt(
    living: Season, batch: Batch
) -> None:
    living.do(actions.batches.change, replace(batch, count=None, feel_counts=(0, 3, 4, 0, 0)))
    assert living.book.batches[batch.id].count == 7


def test_what_has_left_a_batch_bounds_its_mending(living: Season, batch: Batch) -> None:
    living.do(actions.batches.take_out, batch.id, 8, "sold", YESTERDAY + timedelta(hours=3))
    fewer = replace(batch, count=7, feel_counts=None)
    assert refused(living, lambda: living.do(actions.batches.change, fewer)).field == "count"
    later = replace(batch, picked_at=YESTERDAY + timedelta(hours=4))
    assert refused(living, lambda: living.do(actions.batches.change, later)).field == "picked_at"


def test_a_pick_is_not_mended_to_after_its_next_move(living: Season, batch: Batch) -> None:
    living.do(actions.moves.move, [batch.id], ROOM, YESTERDAY + timedelta(hours=2))
    later = replace(batch, picked_at=YESTERDAY + timedelta(hours=2))
    assert refused(living, lambda: living.do(actions.batches.change, later)).field == "picked_at"


# Deleting


def test_a_deleted_batch_takes_its_moves_and_sales_along_and_comes_back(
    living: Season, batch: Batch
) -> None:
    living.do(actions.moves.move, [batch.id], ROOM, NOW)
    living.do(actions.batches.take_out, batch.id, 3, "sold", NOW)
    before = living.book
    living.do(actions.batches.delete, [batch.id, batch.id])
    assert not living.book.batches
    assert not living.book.moves
    assert not living.book.removals
    assert living.undo() == f"deletion of {batch.code}"
    assert living.book == before


def test_nothing_is_deleted_if_one_of_the_batches_is_gone(living: Season, batch: Batch) -> None:
    refusal = refused(living, lambda: living.do(actions.batches.delete, [batch.id, "gone"]))
    assert refusal.field == "batch_id"


def test_deleting_nothing_is_no_action(living: Season, batch: Batch) -> None:
    told: list[str] = []
    living.subscribe(lambda _changed: told.append("changed"))
    before = living.undo_label
    living.do(actions.batches.delete, [])
    assert (living.undo_label, told) == (before, [])


# Moving


def test_several_batches_move_in_one_step(living: Season) -> None:
    ids = [batch.id for batch in living.do(actions.picks.add, entry(feel_counts=(0, 9, 6, 0, 0)))]
    living.do(actions.moves.move, [*ids, ids[0]], ROOM, NOW + timedelta(days=2))
    assert [places_of(living, key) for key in ids] == [[COLD, ROOM], [COLD, ROOM]]
    assert living.undo() == "move of 2 batches to Room"
    assert [places_of(living, key) for key in ids] == [[COLD], [COLD]]


def test_overlapping_moves_are_refused(living: Season, batch: Batch) -> None:
    at = NOW + timedelta(days=3)
    living.do(actions.moves.move, [batch.id], ROOM, at)
    hour = timedelta(hours=1)
    for place, when, field, words in (
        (ROOM, at, "at", "already moves to"),
        (SHELF, at, "at", "already moves to"),
        (ROOM, at + hour, "place_id", "is there already: Room"),
        (COLD, at - hour, "place_id", "is there already: Cold"),
        (ROOM, at - hour, "at", "already moves to Room later"),
        (ROOM, YESTERDAY, "at", "was picked then or later"),
        (ROOM, YESTERDAY - hour, "at", "was picked then or later"),
        (SHELF, NOW + timedelta(days=10_000), "at", "more than 400 days"),
        ("attic", at, "place_id", "Choose the place"),
    ):
        refusal = refused(
            living,
            lambda p=place, w=when: living.do(actions.moves.move, [batch.id], p, w),  # type: ignore[misc]
        )
        assert (refusal.field, words in refusal.message) == (field, True), refusal.message


def test_one_batch_that_cannot_move_keeps_all_where_they_are(living: Season) -> None:
    first, second = living.do(actions.picks.add, entry(feel_counts=(0, 9, 6, 0, 0)))
    living.do(actions.moves.move, [second.id], ROOM, NOW)
    refused(
        living,
        lambda: living.do(
            actions.moves.move, [first.id, second.id], ROOM, NOW + timedelta(hours=1)
        ),
    )


def test_a_move_between_two_others_fits_in(living: Season, batch: Batch) -> None:
    living.do(actions.moves.move, [batch.id], ROOM, NOW + timedelta(days=4))
    living.do(actions.moves.move, [batch.id], SHELF, NOW + timedelta(days=2))
    assert places_of(living, batch.id) == [COLD, SHELF, ROOM]


def test_a_move_taken_back_takes_a_needless_one_along(living: Season, batch: Batch) -> None:
    living.do(actions.moves.move, [batch.id], ROOM, NOW)
    living.do(actions.moves.move, [batch.id], COLD, NOW + timedelta(days=1))
    living.do(actions.moves.delete, living.moves_of(batch.id)[1].id)
    assert places_of(living, batch.id) == [COLD]
    living.undo()
    assert places_of(living, batch.id) == [COLD, ROOM, COLD]


def test_the_first_move_stays(living: Season, batch: Batch) -> None:
    first = living.moves_of(batch.id)[0]
    assert (
        "first waited" in refused(living, lambda: living.do(actions.moves.delete, first.id)).message
    )
    refused(living, lambda: living.do(actions.moves.delete, "gone"))


# Selling and discarding


@pytest.mark.parametrize("count", [0, -1, 21, 10**9])
def test_no_more_is_taken_out_than_is_left(living: Season, batch: Batch, count: int) -> None:
    refusal = refused(
        living, lambda: living.do(actions.batches.take_out, batch.id, count, "sold", NOW)
    )
    assert refusal.field == "count"
    assert "has 20 left" in refusal.message


def test_what_was_sold_is_no_longer_left(living: Season, batch: Batch) -> None:
    living.do(actions.batches.take_out, batch.id, 12, "sold", NOW)
    living.do(actions.batches.take_out, batch.id, 5, "discarded", NOW)
    assert living.projection().left.tolist() == [3.0]
    refusal = refused(living, lambda: living.do(actions.batches.take_out, batch.id, 4, "sold", NOW))
    assert "has 3 left" in refusal.message
    living.do(actions.batches.take_out, batch.id, 3, "sold", NOW)
    assert living.projection().left.tolist() == [0.0]


def test_fruit_is_sold_between_its_pick_and_now(living: Season, batch: Batch) -> None:
    for at in (YESTERDAY - timedelta(minutes=1), NOW + timedelta(hours=1)):
        refusal = refused(
            living,
            lambda at=at: living.do(actions.batches.take_out, batch.id, 1, "sold", at),  # type: ignore[misc]
        )
        assert refusal.field == "at"
    refusal = refused(
        living, lambda: living.do(actions.batches.take_out, batch.id, 1, "sold", NOW, "no such day")
    )
    assert refusal.field == "market_day_id"
    assert (
        refused(living, lambda: living.do(actions.batches.take_out, "gone", 1, "sold", NOW)).field
        == "batch_id"
    )


def test_sold_on_a_market_day(living: Season, batch: Batch) -> None:
    day, wants = market(-0.5, {"pawpaw": 10})
    living.do(actions.ahead.save_market_day, day, wants)
    living.do(actions.batches.take_out, batch.id, 10, "sold", NOW, day.id)
    (removal,) = living.book.removals.values()
    assert removal.market_day_id == day.id
    assert living.undo_label == f"10 of {batch.code} sold"


def test_weighed_fruit_is_sold_up_to_the_count_that_its_weight_stands_for(
    living: Season,
) -> None:
    (batch,) = living.do(
        actions.picks.add, entry(feel_counts=None, weight_kg=3.0)
    )  # 20 of the usual fruit
    living.do(actions.batches.take_out, batch.id, 20, "sold", NOW)
    refused(living, lambda: living.do(actions.batches.take_out, batch.id, 1, "sold", NOW))


def test_fruit_of_a_crop_without_profile_is_sold_by_count_only(open_season: Open) -> None:
    counted, first = batch_and_move(1, crop="medlar")
    weighed, second = batch_and_move(2, crop="medlar", count=None, weight_kg=4.0)
    living = open_season(*farm_records(), counted, first, weighed, second)
    living.do(actions.batches.take_out, counted.id, 20, "sold", NOW)
    refusal = refused(
        living, lambda: living.do(actions.batches.take_out, weighed.id, 1, "sold", NOW)
    )
    assert "medlar" in refusal.message

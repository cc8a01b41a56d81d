"""Where batches are, move by move, and what they were once part of."""

from datetime import timedelta

import pytest

from ripenroom.records.batch import Batch, Move
from ripenroom.season.season import Season
from ripenroom.season.whereabouts import harvest_of, held_at, line_of_descent, places_at
from tests.season.farm import NOW, ROOM, SHELF, YESTERDAY, batch_and_move, book_of, farm_records


def test_it_agrees_with_the_season_for_every_batch(practice: Season) -> None:
    season = practice
    for at in (season.now(), season.now() - timedelta(days=9)):
        found = places_at(season.book, at)
        for batch_id in season.book.batches:
            assert found.get(batch_id) == season.place_of(batch_id, at)
    assert len(places_at(season.book, season.now())) == len(season.book.batches)


def test_before_its_pick_a_batch_is_nowhere_or_where_it_will_be_first() -> None:
    move_on = Move(id="on", batch_id="batch 1", at=NOW, place_id=ROOM)
    book = book_of(*farm_records(), *batch_and_move(1, SHELF), move_on)
    before = YESTERDAY - timedelta(hours=1)
    assert places_at(book, before) == {}
    assert places_at(book, before, also_ahead=True)["batch 1"].id == SHELF
    assert places_at(book, YESTERDAY, also_ahead=True)["batch 1"].id == SHELF
    assert places_at(book, NOW)["batch 1"].id == ROOM


def test_what_a_place_holds_adds_up_to_all_that_is_left(practice: Season) -> None:
    season, projection = practice, practice.projection()
    held = held_at(season.book, projection, season.now())
    assert sum(here.batches for here in held.values()) == (projection.left > 0).sum()
    assert sum(here.fruit for here in held.values()) == pytest.approx(projection.left.sum())
    some = projection.batch_ids[int(projection.left.argmax())]
    there = season.place_of(some)
    assert there is not None
    assert held[there.id].fruit >= projection.left.max()


def parts(*split_from: str | None) -> dict[str, Batch]:
    """Batches 0, 1, ... that were split from these."""
    made = [batch_and_move(n, split_from=key)[0] for n, key in enumerate(split_from)]
    return {batch.id: batch for batch in made}


def test_a_whole_batch_is_its_own() -> None:
    known = parts(None)
    assert harvest_of("batch 0", known) == "batch 0"


def test_a_part_of_a_part_belongs_to_the_whole() -> None:
    known = parts(None, "batch 0", "batch 1")
    assert {harvest_of(key, known) for key in known} == {"batch 0"}


def test_parts_of_a_batch_that_is_gone_still_belong_together() -> None:
    known = parts("gone", "gone")
    assert {harvest_of(key, known) for key in known} == {"gone"}


def test_records_that_go_round_in_a_ring_end() -> None:
    known = parts("batch 1", "batch 0")
    assert harvest_of("batch 0", known) in known


def test_the_nearest_comes_first() -> None:
    known = parts(None, "batch 0", "batch 1")
    assert [*line_of_descent("batch 2", known)] == ["batch 2", "batch 1", "batch 0"]

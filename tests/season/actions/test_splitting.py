"""Splitting a batch: nothing is lost, and both parts ripen as the whole would have."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ripenroom.records.batch import Batch, FeelCounts, Move, Removal, Treatment
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import Pin
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.actions.splitting import joined, scaled, split, split_off
from ripenroom.season.projection import Projection
from ripenroom.season.projector import Projector
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState, zone_of
from tests.draws import draws
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    YESTERDAY,
    batch_and_move,
    book_of,
    entry,
    farm_records,
    refused,
)

CROPS = shipped_profiles()

feels = st.tuples(*(st.integers(0, 40) for _ in range(5))).filter(any)


@st.composite
def batches(draw: st.DrawFn) -> tuple[Batch, int, int]:
    """A batch, how many fruit were sold of it, and how many are to be split off."""
    feel: FeelCounts | None = draw(st.none() | feels)
    count = sum(feel) if feel else draw(st.integers(2, 200))
    count += draw(st.integers(0, 60))
    count = max(count, 2)
    gone = draw(st.integers(0, count - 2))
    fruit = draw(st.integers(1, count - gone - 1))
    weight = draw(st.none() | st.floats(0.1, 400.0))
    batch, _ = batch_and_move(1, count=count, feel_counts=feel, weight_kg=weight)
    return batch, gone, fruit


def farm_with(batch: Batch, gone: int = 0) -> Book:
    move = Move(id="came", batch_id=batch.id, at=batch.picked_at, place_id=COLD)
    pull = Move(id="pull", batch_id=batch.id, at=NOW + timedelta(days=2), place_id=SHELF)
    sold = Removal(id="sold", batch_id=batch.id, at=NOW, count=gone, outcome="sold")
    return book_of(*farm_records(), batch, move, pull, *([sold] if gone else []))


def projected(book: Book) -> Projection:
    projector = Projector(CROPS, zone_of(book.season))
    now = NOW + timedelta(hours=1)
    return projector.projection(projector.outlook(book, now), now)


@draws(60)
@given(batches())
def test_a_split_loses_nothing(drawn: tuple[Batch, int, int]) -> None:
    batch, gone, fruit = drawn
    before = farm_with(batch, gone)
    after, part = split_off(before, CROPS, batch.id, fruit)
    rest = after.batches[batch.id]
    assert part.count == fruit
    assert (rest.count or 0) + fruit == batch.count
    if batch.weight_kg is not None:
        assert rest.weight_kg is not None
        assert part.weight_kg is not None
        assert rest.weight_kg + part.weight_kg == pytest.approx(batch.weight_kg, abs=2e-6)
        assert part.weight_kg == pytest.approx(batch.weight_kg * fruit / batch.count, abs=1e-6)
    if batch.feel_counts is not None:
        assert rest.feel_counts is not None
        assert part.feel_counts is not None
        if sum(batch.feel_counts) == batch.count:
            both = zip(rest.feel_counts, part.feel_counts, strict=True)
            assert tuple(r + p for r, p in both) == batch.feel_counts
        assert sum(part.feel_counts) <= fruit
        assert sum(rest.feel_counts) <= (rest.count or 0)
        assert min(*part.feel_counts, *rest.feel_counts) >= 0
    left = projected(after).left
    assert left.sum() == pytest.approx(projected(before).left.sum())
    assert left.min() >= 1.0


@draws(40)
@given(batches())
def test_both_parts_ripen_as_the_whole_would_have(drawn: tuple[Batch, int, int]) -> None:
    batch, gone, fruit = drawn
    if batch.feel_counts is not None:
        # Fewer felt fruit of several feels tell less; of one feel, or as a sample, just as much.
        one = next(n for n, felt in enumerate(batch.feel_counts) if felt)
        a, b, c, d, e = (felt if n == one else 0 for n, felt in enumerate(batch.feel_counts))
        batch = replace(batch, feel_counts=(a, b, c, d, e))
    before = farm_with(batch, gone)
    after, part = split_off(before, CROPS, batch.id, fruit)
    whole, parts = projected(before), projected(after)
    assert set(parts.batch_ids) == {batch.id, part.id}
    for name in ("first_ready_h", "opens_h", "best_h", "closes_h", "ready_at_best"):
        for side in ("low", "mid", "high"):
            expected = getattr(getattr(whole, name), side)
            found = getattr(getattr(parts, name), side)
            np.testing.assert_allclose(found, np.repeat(expected, 2), rtol=1e-12)
    np.testing.assert_array_equal(parts.state, np.repeat(whole.state, 2))


def test_mixed_feels_are_parted_in_proportion_and_move_the_dates_by_hours_only() -> None:
    batch, _ = batch_and_move(1, count=45, feel_counts=(0, 30, 15, 0, 0))
    before = farm_with(batch)
    after, part = split_off(before, CROPS, batch.id, 15)
    assert part.feel_counts == (0, 10, 5, 0, 0)
    assert after.batches[batch.id].feel_counts == (0, 20, 10, 0, 0)
    whole, parts = projected(before), projected(after)
    assert np.abs(parts.opens_h.mid - whole.opens_h.mid).max() < 12.0


def test_a_sample_tells_of_both_parts_but_is_not_more_than_either() -> None:
    batch, _ = batch_and_move(1, count=60, feel_counts=(0, 6, 3, 0, 0))
    after, part = split_off(farm_with(batch), CROPS, batch.id, 30)
    assert part.feel_counts == after.batches[batch.id].feel_counts == batch.feel_counts
    after, part = split_off(farm_with(batch), CROPS, batch.id, 3)
    assert part.feel_counts == (0, 2, 1, 0, 0)
    assert after.batches[batch.id].feel_counts == batch.feel_counts


@given(feels, st.integers(1, 250))
def test_scaled_counts_keep_their_proportions(feel: FeelCounts, most: int) -> None:
    found = scaled(feel, most)
    total = sum(feel)
    assert sum(found) == min(total, most)
    share = min(1.0, most / total)
    assert all(abs(n - felt * share) < 1.0 for n, felt in zip(found, feel, strict=True))


def test_what_was_weighed_is_split_by_weight(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(feel_counts=None, weight_kg=12.0))
    fruit_kg = living.crops["pawpaw"].fruit_mass_g.value / 1000.0
    part = living.do(actions.splitting.split, batch.id, 10)
    assert (part.count, living.book.batches[batch.id].count) == (None, None)
    assert part.weight_kg == pytest.approx(10 * fruit_kg, abs=1e-6)
    assert living.book.batches[batch.id].weight_kg == pytest.approx(12.0 - 10 * fruit_kg, abs=1e-6)


def test_the_part_has_been_where_the_whole_was_and_goes_where_it_will(open_season: Open) -> None:
    batch, came = batch_and_move(1)
    pull = Move(id="pull", batch_id=batch.id, at=NOW + timedelta(days=2), place_id=ROOM)
    gas = Treatment(id="gas", batch_id=batch.id, at=YESTERDAY, hours=20.0)
    sold = Removal(id="sold", batch_id=batch.id, at=NOW, count=5, outcome="sold")
    check = Check(id="check", batch_id=batch.id, at=NOW, feel_counts=(0, 0, 4, 0, 0))
    pin = Pin(id="pin", batch_id=batch.id, crates=1)
    living = open_season(*farm_records(), batch, came, pull, gas, sold, check, pin)
    before = living.book
    part = living.do(actions.splitting.split, batch.id, 8)
    book = living.book
    assert part.split_from == batch.id
    assert part.code == f"{batch.code}a"
    assert [(m.at, m.place_id) for m in living.moves_of(part.id)] == [
        (came.at, COLD),
        (pull.at, ROOM),
    ]
    assert [(m.at, m.place_id) for m in living.moves_of(batch.id)] == [
        (came.at, COLD),
        (pull.at, ROOM),
    ]
    assert [t.hours for t in book.treatments.values() if t.batch_id == part.id] == [20.0]
    for shelf in (book.removals, book.checks, book.pins):
        assert {record.batch_id for record in shelf.values()} == {batch.id}
    assert living.undo() == f"split of {batch.code}"
    assert living.book == before


def test_codes_of_parts_go_on_through_the_letters(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry())
    first = living.do(actions.splitting.split, batch.id, 8)
    second = living.do(actions.splitting.split, batch.id, 4)
    third = living.do(actions.splitting.split, first.id, 3)
    assert [one.code[len(batch.code) :] for one in (first, second, third)] == ["a", "b", "c"]
    assert third.split_from == first.id


@pytest.mark.parametrize("fruit", [0, -3, 20, 21])
def test_all_or_nothing_is_no_split(living: Season, fruit: int) -> None:
    (batch,) = living.do(actions.picks.add, entry())
    refusal = refused(living, lambda: living.do(actions.splitting.split, batch.id, fruit))
    assert (refusal.field, refusal.values["most"]) == ("fruit", 19)


@pytest.mark.parametrize(
    ("given_batch", "word"),
    [
        ({"count": None, "weight_kg": 0.0, "feel_counts": None}, "no fruit left"),
        ({"count": 1, "feel_counts": (0, 1, 0, 0, 0)}, "1 fruit left"),
    ],
)
def test_what_cannot_be_split_says_why(
    open_season: Open, given_batch: dict[str, Any], word: str
) -> None:
    batch, came = batch_and_move(1, **given_batch)
    living = open_season(*farm_records(), batch, came)
    assert word in refused(living, lambda: living.do(actions.splitting.split, batch.id, 1)).message


def test_a_weighed_batch_of_no_known_crop_cannot_be_split() -> None:
    batch, came = batch_and_move(1, crop="moonfruit", count=None, feel_counts=None, weight_kg=9.0)
    book = book_of(*farm_records(), batch, came)
    with pytest.raises(Refusal) as caught:
        split(SeasonState(book, CROPS, NOW, zone_of(book.season)), batch.id, 2)
    assert caught.value.field == "count"


@draws(40)
@given(batches())
def test_what_is_joined_again_is_as_it_was(drawn: tuple[Batch, int, int]) -> None:
    batch, gone, fruit = drawn
    batch = replace(batch, weight_kg=None if batch.weight_kg is None else round(batch.weight_kg, 3))
    if batch.feel_counts is not None and sum(batch.feel_counts) < (batch.count or 0):
        # A sample that is cut to fit a part looks like a part of which every fruit was felt.
        assume(fruit > 1 and (batch.count or 0) - fruit > 1)
        batch = replace(batch, feel_counts=scaled(batch.feel_counts, 1))
    before = farm_with(batch, gone)
    after, part = split_off(before, CROPS, batch.id, fruit)
    assert joined(after, part) == before

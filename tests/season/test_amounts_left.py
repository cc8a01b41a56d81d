"""How much of a batch is left, in fruit and in crates."""

from datetime import timedelta

import pytest

from ripenroom.records.batch import Removal
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.refusal import Refusal
from ripenroom.season.amounts import (
    crates_left,
    crates_of,
    fruit_in,
    fruit_left,
    fruit_per_crate,
    picked_fruit,
    whole_fruit,
)
from tests.season.farm import NOW, batch_and_move, book_of, farm_records

CROPS = shipped_profiles()


def test_what_was_taken_out_is_not_left() -> None:
    batch, move = batch_and_move(1)
    sold = Removal(id="sold", batch_id=batch.id, at=NOW, count=12, outcome="sold")
    book = book_of(*farm_records(), batch, move, sold)
    assert fruit_left(book, CROPS, batch) == 8.0
    assert fruit_left(book, CROPS, batch, NOW) == 20.0
    assert fruit_left(book, CROPS, batch, NOW + timedelta(seconds=1)) == 8.0


def test_what_was_weighed_is_counted_by_its_usual_fruit() -> None:
    batch, move = batch_and_move(1, count=None, feel_counts=None, weight_kg=10.0)
    fruit = 10.0 / (CROPS["pawpaw"].fruit_mass_g.value / 1000.0)
    assert picked_fruit(CROPS, batch) == pytest.approx(fruit)
    assert whole_fruit(fruit) == int(fruit) + (fruit > int(fruit))
    assert crates_left(book_of(*farm_records(), batch, move), CROPS, batch) >= 1


@pytest.mark.parametrize(
    ("fruit", "crates"), [(0.0, 0), (0.4, 0), (1.0, 1), (20.0, 1), (20.5, 2), (41.0, 3)]
)
def test_a_crate_that_is_not_full_is_one_more(fruit: float, crates: int) -> None:
    assert crates_of(fruit, 20.0) == crates


def test_crates_that_are_not_full_hold_alike_many() -> None:
    assert [fruit_in(n, 26.0, 25.0) for n in (1, 2, 3)] == [13.0, 26.0, 26.0]
    assert [fruit_in(n, 75.0, 25.0) for n in (1, 2, 3)] == [25.0, 50.0, 75.0]
    assert fruit_in(1, 0.0, 25.0) == 0.0


def test_crates_of_an_unknown_crop_and_of_nothing_are_refused() -> None:
    strange, move = batch_and_move(1, crop="moonfruit")
    book = book_of(*farm_records(), strange, move)
    with pytest.raises(Refusal) as caught:
        fruit_per_crate(CROPS, strange)
    assert caught.value.field == "batch_id"
    empty, move = batch_and_move(2, count=0, feel_counts=None)
    with pytest.raises(Refusal) as caught:
        crates_left(book.with_changes([empty, move]), CROPS, empty)
    assert "no fruit left" in caught.value.message

from dataclasses import fields

import pytest

from ripenroom.records.book import SHELF_OF, Book
from ripenroom.records.identity import missing, references
from tests.season.farm import batch_and_move, book_of, farm_records


def test_a_batch_and_its_move_say_what_they_hang_on() -> None:
    batch, move = batch_and_move(1, cultivar_id="early", row_id="row")
    assert set(references(batch)) == {
        ("cultivar_id", "cultivars", "early"),
        ("row_id", "rows", "row"),
    }
    assert set(references(move)) == {
        ("batch_id", "batches", batch.id),
        ("place_id", "places", "cold"),
    }


def test_a_whole_book_lacks_nothing_and_a_torn_one_says_what() -> None:
    batch, move = batch_and_move(1)
    whole = book_of(*farm_records(), batch, move)
    assert list(missing(whole)) == []
    torn = whole.with_changes((), [batch])
    assert list(missing(torn)) == [(move, "batch_id", "batches", batch.id)]


@pytest.mark.parametrize("kind", SHELF_OF)
def test_no_kind_of_record_refers_to_another_in_a_field_that_is_not_known(kind: type) -> None:
    shelves = {f.name for f in fields(Book)}
    for field in fields(kind):
        if field.name.endswith("_id"):
            [known] = [shelf for name, shelf in _KNOWN.items() if name == field.name]
            assert known in shelves


_KNOWN = {
    "batch_id": "batches",
    "place_id": "places",
    "market_day_id": "market_days",
    "cultivar_id": "cultivars",
    "row_id": "rows",
}

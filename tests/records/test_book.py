"""Snapshots of all records, ids of records, and what they refer to."""

import uuid
from dataclasses import fields, replace
from datetime import UTC, date, datetime

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.book import SHELF_OF, Book, missing_references, new_id, references
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.season import SeasonDetails
from tests.season.farm import batch_and_move, book_of, farm_records

SEASON = SeasonDetails(
    id="s",
    name="Farm",
    zone="UTC",
    first_day=date(2026, 8, 1),
    units="metric",
    currency="EUR",
)
BATCH = Batch(id="b", code="P-0901-1", crop="pawpaw", picked_at=datetime(2026, 9, 1, tzinfo=UTC))


def test_a_change_makes_a_new_book_and_leaves_the_old() -> None:
    old = Book(SEASON).with_changes([BATCH, Row(id="r", name="Hill")])
    new = old.with_changes([replace(BATCH, count=7)], [old.rows["r"]])
    assert (old.batches["b"].count, list(old.rows)) == (None, ["r"])
    assert (new.batches["b"].count, list(new.rows)) == (7, [])


def test_untouched_kinds_are_shared() -> None:
    old = Book(SEASON).with_changes([BATCH])
    new = old.with_changes([Row(id="r", name="Hill")])
    assert new.batches is old.batches
    assert new.moves is old.moves


def test_what_is_put_goes_after_what_is_deleted() -> None:
    book = Book(SEASON).with_changes([BATCH]).with_changes([BATCH], [BATCH])
    assert book.batches == {"b": BATCH}


def test_the_season_itself_is_replaced() -> None:
    renamed = replace(SEASON, name="Other farm")
    assert Book(SEASON).with_changes([renamed]).season == renamed


def test_deleting_what_is_not_there_is_harmless() -> None:
    assert Book(SEASON).with_changes(deleted=[BATCH]) == Book(SEASON)


def test_every_kind_of_record_has_its_shelf() -> None:
    book = Book(SEASON)
    assert {getattr(book, shelf) is not None for shelf in SHELF_OF.values()} == {True}
    with pytest.raises(AttributeError):
        book.season = SEASON  # type: ignore[misc]


def test_all_records_can_be_asked_for_at_once() -> None:
    row = Row(id="r", name="Hill")
    assert list(Book(SEASON).with_changes([BATCH, row]).records()) == [row, BATCH]
    assert list(Book(SEASON).records()) == []


def test_a_book_knows_what_it_holds_by_kind_and_id() -> None:
    row = Row(id="one", name="Row 1")
    book = Book(SEASON).with_changes([row])
    assert book.holds(row)
    assert book.holds(SEASON)
    assert not book.holds(Cultivar(id="one", crop="pawpaw", name="Row 1"))
    assert not book.holds(Row(id="two", name="Row 1"))


def test_no_shelf_can_be_changed() -> None:
    book = Book(SEASON, batches={"b": BATCH})
    for one in (book, book.with_changes([replace(BATCH, count=7)]), book.with_changes([], [BATCH])):
        for shelf in SHELF_OF.values():
            with pytest.raises(TypeError):
                getattr(one, shelf)["new"] = BATCH
    assert book.batches == {"b": BATCH}


def test_ids_are_random_uuids() -> None:
    ids = {new_id() for _ in range(1000)}
    assert len(ids) == 1000
    assert all(uuid.UUID(one).version == 4 and str(uuid.UUID(one)) == one for one in ids)


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
    assert list(missing_references(whole)) == []
    torn = whole.with_changes((), [batch])
    assert list(missing_references(torn)) == [(move, "batch_id", "batches", batch.id)]


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

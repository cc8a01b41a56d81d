"""Every kind of record goes through every place that records go through; a new kind is met here."""

from dataclasses import fields
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from ripenroom.exchange.season_json import read_json, write_json
from ripenroom.records.book import SHELF_OF, Book, Record, missing_references, references
from ripenroom.records.counts import MOST
from ripenroom.records.file import SeasonFile, verify
from ripenroom.records.file.mapping import TABLE_OF
from ripenroom.records.file.migrations import CURRENT_VERSION, columns_at
from ripenroom.records.file.rescue import readable
from ripenroom.records.file.schema import RECORD_AT
from ripenroom.records.refusal_words import what_is
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import checked
from ripenroom.season.merging import meet
from ripenroom.season.state import Changed, SeasonState, changed_between
from ripenroom.wording.copies import kind_words, record_words
from ripenroom.wording.formats import Formats
from ripenroom.wording.record_fields import field_words, value_words
from tests.any_values import farm_book
from tests.records.hostile import HOSTILE, full_book

KINDS = sorted(SHELF_OF, key=lambda kind: kind.__name__)


@pytest.fixture(scope="module")
def book() -> Book:
    return farm_book()


@pytest.fixture(scope="module")
def written(book: Book, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("every") / "every.ripenroom"
    SeasonFile.create(path, book.season, book.records()).close()
    return path


def one_of(book: Book, kind: type) -> Record:
    """A record of a kind; there must be one in the seasons that tests spoil and change."""
    found: Record = next(iter(getattr(book, SHELF_OF[kind]).values()))
    return found


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_kind_has_its_table_limit_and_words(kind: type, book: Book) -> None:
    record = one_of(book, kind)
    assert one_of(full_book(), kind)
    assert any(hostile.shelf == SHELF_OF[kind] for hostile in HOSTILE) or kind.__name__ == "Move"
    assert checked(record) == record
    columns = columns_at(CURRENT_VERSION)[TABLE_OF[kind].name]
    assert columns[RECORD_AT:] == tuple(field.name for field in fields(kind))
    assert kind in MOST
    assert what_is(kind)
    words = Formats("en_GB", book.season, ZoneInfo(book.season.zone))
    assert kind_words(kind)
    assert 0 < len(record_words(record, book, words)) < 200
    for field in fields(kind):
        assert field_words(field.name)
        assert value_words(record, field.name, book, words)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_change_of_a_kind_is_told_and_undone(kind: type, book: Book, tmp_path: Path) -> None:
    record = one_of(book, kind)
    told = changed_between(_state(book.with_changes((), [record])), _state(book))
    assert told != Changed()
    assert told.records
    without = book.with_changes((), [r for r in book.records() if type(r) is kind])
    while lacking := [each for each, *_ in missing_references(without)]:
        without = without.with_changes((), lacking)
    needed = {(shelf, key) for _, shelf, key in references(record)}
    assert all(key in getattr(without, shelf) for shelf, key in needed)
    file = SeasonFile.create(tmp_path / "one.ripenroom", book.season, without.records())
    file.write("put", [record])
    assert record in list(file.read().records())
    file.undo()
    assert record not in list(file.read().records())
    file.redo()
    file.close()
    assert verify(file.path) == []


def test_all_kinds_come_back_from_file_json_rescue_and_merging(
    book: Book, written: Path, tmp_path: Path
) -> None:
    assert {type(record) for record in book.records()} == set(SHELF_OF)
    write_json(book, tmp_path / "season.json")
    assert read_json(tmp_path / "season.json") == book
    instead = SeasonDetails(
        id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5e",
        name="Instead",
        zone="UTC",
        first_day=book.season.first_day,
        units="metric",
        currency="EUR",
    )
    assert readable(written, instead).book == book
    empty = Book(book.season)
    assert meet(empty, empty, book).together({}) == book


def _state(book: Book) -> SeasonState:
    return SeasonState(book, {}, datetime(2026, 10, 1, tzinfo=UTC), ZoneInfo("UTC"))

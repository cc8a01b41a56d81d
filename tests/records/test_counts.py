"""How many records a season may hold, by whatever way they come."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from ripenroom.exchange.season_json import read_json, write_json
from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.counts import MOST, require_room, without_crowds
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.file.digest import reseal
from ripenroom.records.file.rescue import readable
from ripenroom.records.place import Place
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.farm import batch_and_move, book_of, farm_records, season_record

MOST_MOVES, MOST_PLACES = MOST[Move].each, MOST[Place].season
WORDS = "The batch “P-0930-1” has too many moves: {}; at most {}"


def moves(batch: Batch, first: int, after: int) -> list[Move]:
    """Moves of a batch, an hour apart."""
    return [
        Move(
            id=f"hop {n}",
            batch_id=batch.id,
            at=batch.picked_at + timedelta(hours=n),
            place_id="shelf" if n % 2 else "cold",
        )
        for n in range(first, after)
    ]


@pytest.fixture
def full() -> Book:
    """A batch with as many moves as it may have, on a farm."""
    batch, move = batch_and_move(1)
    return book_of(*farm_records(), batch, move, *moves(batch, 1, MOST_MOVES))


@pytest.fixture
def crowded(full: Book, tmp_path: Path) -> Path:
    """A file with 30 moves more than that, whose digests are right."""
    path = tmp_path / "crowded.ripenroom"
    SeasonFile.create(path, full.season, full.records()).close()
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 30)"
            " INSERT INTO move (digest, changed_at, id, batch_id, at, place_id)"
            " SELECT zeroblob(16), 1, 'more ' || i, batch_id, at + 86400 * i, place_id FROM n, move"
            f" WHERE id = 'hop {MOST_MOVES - 1}'"
        )
        reseal(connection)
    return path


def test_every_kind_of_record_has_its_limit() -> None:
    assert MOST.keys() == SHELF_OF.keys()


def test_two_thousand_batches_have_room_to_spare() -> None:
    assert MOST[Batch].season >= 3_000
    assert MOST[Move].season >= 4 * 2_000


def test_what_is_full_is_opened_changed_and_taken_back(full: Book, tmp_path: Path) -> None:
    file = SeasonFile.create(tmp_path / "full.ripenroom", full.season, full.records())
    [batch] = full.batches.values()
    [last] = moves(batch, MOST_MOVES - 1, MOST_MOVES)
    file.write("Move elsewhere", [replace(last, place_id="room")])
    file.write("Delete move", (), [last])
    file.undo()
    file.close()
    assert verify(file.path) == []
    again = SeasonFile.open(file.path)
    assert len(again.read().moves) == MOST_MOVES
    again.close()


def test_one_more_is_refused_and_changes_nothing(full: Book, tmp_path: Path) -> None:
    file = SeasonFile.create(tmp_path / "full.ripenroom", full.season, full.records())
    [batch] = full.batches.values()
    with pytest.raises(Refusal, match=WORDS.format(MOST_MOVES + 1, MOST_MOVES)) as refused:
        file.write("Move", moves(batch, MOST_MOVES, MOST_MOVES + 1))
    assert "Delete what you no longer need" in refused.value.message
    assert file.read() == full
    file.close()


def test_a_new_file_takes_no_more_either(full: Book, tmp_path: Path) -> None:
    many: list[Record] = [
        Place(id=f"p{n}", name=f"Shelf {n}", kind="cool shelf", half_cooling_h=5.0)
        for n in range(MOST_PLACES)
    ]
    book = full.with_changes(many)
    words = f"The season has too many places: {MOST_PLACES + 4}; at most {MOST_PLACES}"
    with pytest.raises(Refusal, match=words):
        SeasonFile.create(tmp_path / "new.ripenroom", book.season, book.records())
    write_json(book, tmp_path / "season.json")
    with pytest.raises(Refusal, match=words):
        read_json(tmp_path / "season.json")


def test_a_file_with_more_is_not_opened_but_rescued(crowded: Path) -> None:
    words = WORDS.format(MOST_MOVES + 30, MOST_MOVES) + ". Rescue keeps the earliest that fit."
    with pytest.raises(FileRefusal) as refused:
        SeasonFile.open(crowded)
    assert words in refused.value.message
    assert verify(crowded) == [words]
    found = readable(crowded, season_record())
    assert found.lost == {Move: 30}
    assert not any(key.startswith("more") for key in found.book.moves)
    require_room(found.book)


def test_places_in_use_are_kept_before_empty_ones(full: Book) -> None:
    empty = [
        Place(id=f"a{n:03}", name=f"Shelf {n}", kind="cool shelf", half_cooling_h=5.0)
        for n in range(MOST_PLACES)
    ]
    left = without_crowds(full.with_changes(empty))
    assert len(left.places) == MOST_PLACES
    assert full.places.keys() <= left.places.keys()


def test_rows_of_a_table_are_taken_as_far_as_there_is_room(tmp_path: Path) -> None:
    from ripenroom.season.actions.table_rows import ImportDefaults, TableRow

    book = book_of(*farm_records())
    season = Season(SeasonFile.create(tmp_path / "rows.ripenroom", book.season, book.records()))
    rows = [
        TableRow(n, {"place": f"Shelf {n}", "kind": "cool shelf", "set_point_c": 8.0})
        for n in range(1, MOST_PLACES + 1)
    ]
    found = season.do(actions.table_import.take_in, "places", rows, ImportDefaults(), "places.csv")
    season.close()
    assert len(found.taken) == MOST_PLACES - 4
    assert list(found.refused) == list(range(MOST_PLACES - 3, MOST_PLACES + 1))
    assert "The season has too many places" in found.refused[MOST_PLACES].message

"""What is left of a damaged file: nothing wrong, and most of what was there."""

import os
import random
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import SHELF_OF, SHELF_OF_FIELD, Book
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.file.digest import reseal
from ripenroom.records.file.mapping import TABLE_NAMED, TABLE_OF, TABLES
from ripenroom.records.file.migrations import CURRENT_VERSION
from ripenroom.records.file.rescue import readable, rescue
from ripenroom.records.market import Pin
from ripenroom.records.refusal import Refusal
from ripenroom.records.rules import RULES_OF
from ripenroom.records.season import SeasonDetails
from tests.records.file.conftest import Invented

HITS = int(os.environ.get("RIPENROOM_RESCUES", "60"))
KEPT = Path(__file__).with_name("kept")


@pytest.fixture
def instead(invented: Invented) -> SeasonDetails:
    return replace(invented.season, id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f", name="Found again")


def subset(found: Book, truth: Book) -> bool:
    """Whether every record found was there, perhaps with an emptied reference."""
    known: dict[str, Any] = {record.id: record for record in truth.records()}
    for record in found.records():
        true: Any = known.get(record.id)
        for field in ("cultivar_id", "row_id", "market_day_id", "place_id"):
            if getattr(record, field, 0) is None:
                true = replace(true, **{field: None})
        if record != true:
            return False
    return True


def test_of_a_sound_file_everything_is_found(
    lived_in: tuple[Path, Book], instead: SeasonDetails
) -> None:
    path, book = lived_in
    rescued = readable(path, instead)
    assert (rescued.book, rescued.lost, rescued.season_is_lost) == (book, {}, False)


@pytest.mark.parametrize("version", range(1, CURRENT_VERSION))
def test_of_an_older_file_too(version: int, instead: SeasonDetails, tmp_path: Path) -> None:
    kept = KEPT / f"version-{version}.ripenroom"
    rescued = readable(kept, instead)
    path = tmp_path / "old.ripenroom"
    path.write_bytes(kept.read_bytes())
    file = SeasonFile.open(path)
    assert rescued.book == file.read()
    assert not rescued.lost
    assert not rescued.season_is_lost
    file.close()


def test_a_changed_row_is_left_out_and_what_hangs_on_it_goes_too(
    lived_in: tuple[Path, Book], instead: SeasonDetails, tmp_path: Path
) -> None:
    path, book = lived_in
    batch = next(b for b in book.batches.values() if b.code == "P-0914-5")
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE batch SET count = count + 1 WHERE id = ?", (batch.id,))
    content = path.read_bytes()
    target = tmp_path / "rescued.ripenroom"
    rescued = rescue(path, target, instead)
    moves = [move for move in book.moves.values() if move.batch_id == batch.id]
    assert rescued.book == book.with_changes((), [batch, *moves])
    assert rescued.lost[Batch] == 1
    assert path.read_bytes() == content
    assert verify(target) == []
    file = SeasonFile.open(target)
    assert file.read() == rescued.book
    file.close()
    with pytest.raises(FileRefusal, match="already there"):
        rescue(path, target, instead)


def test_a_lost_season_gets_another_in_its_place(
    lived_in: tuple[Path, Book], instead: SeasonDetails
) -> None:
    path, book = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE season SET name = 'tampered'")
    rescued = readable(path, instead)
    assert rescued.all_details_are_lost
    assert rescued.book == replace(book, season=instead)


def test_a_season_whose_first_day_is_wrong_keeps_its_records(
    lived_in: tuple[Path, Book], instead: SeasonDetails
) -> None:
    path, book = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE season SET first_day = '1987-08-20'")
        reseal(connection)
    rescued = readable(path, instead)
    assert rescued.lost_details == ("first_day",)
    assert rescued.lost == {}
    assert rescued.book.season.name == book.season.name
    assert rescued.book == replace(book, season=rescued.book.season)


@pytest.mark.parametrize(
    ("column", "value", "lost"),
    [
        ("id", "../../x", ("id",)),
        ("id", "not one of ours", ("id",)),
        ("name", "", ("name",)),
        ("zone", "Mars/Olympus", ("zone",)),
        ("units", "imperial", ("units",)),
        ("currency", "euro", ("currency",)),
        ("first_day", "tomorrow", ("first_day",)),
        ("practice_now", 1, ("practice_now",)),
        ("practice_now", 2**62, ("practice_now",)),
        ("crates_moved_per_evening", 0, ("crates_moved_per_evening",)),
    ],
)
def test_a_season_with_a_detail_that_cannot_be_keeps_the_others(
    lived_in: tuple[Path, Book],
    instead: SeasonDetails,
    column: str,
    value: object,
    lost: tuple[str, ...],
    tmp_path: Path,
) -> None:
    path, book = lived_in
    instead = replace(instead, zone="Asia/Tokyo", currency="JPY", units="us")
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute(f"UPDATE season SET {column} = ?", (value,))
        reseal(connection)
    rescued = rescue(path, tmp_path / "rescued.ripenroom", instead)
    assert rescued.lost_details == lost
    assert not rescued.all_details_are_lost
    assert rescued.lost == {}
    own = replace(book.season, **{column: getattr(instead, column)})
    assert rescued.book == replace(book, season=own)
    assert verify(tmp_path / "rescued.ripenroom") == []


def test_several_details_may_be_lost_at_once(
    lived_in: tuple[Path, Book], instead: SeasonDetails
) -> None:
    path, book = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute("UPDATE season SET id = '../x', zone = 'Moon', currency = 'euro'")
        reseal(connection)
    rescued = readable(path, instead)
    assert rescued.lost_details == ("id", "zone", "currency")
    assert rescued.book.season.name == book.season.name


def test_what_is_no_season_is_refused(tmp_path: Path, instead: SeasonDetails) -> None:
    for content in (b"", b"my notes" * 1000, b"SQLite format 3\0" + bytes(8000)):
        path = tmp_path / "no.ripenroom"
        path.write_bytes(content)
        with pytest.raises(FileRefusal):
            readable(path, instead)


def test_whatever_is_hit_only_true_records_come_back(
    lived_in: tuple[Path, Book], instead: SeasonDetails, tmp_path: Path
) -> None:
    path, book = lived_in
    content = path.read_bytes()
    chance = random.Random(20260914)
    target = tmp_path / "hit.ripenroom"
    back = refused = 0
    for hit in range(HITS):
        damaged = bytearray(content)
        if hit % 3 == 0:  # a page of noise
            at = 4096 * chance.randrange(1, len(content) // 4096)
            damaged[at : at + 4096] = chance.randbytes(4096)
        elif hit % 3 == 1:  # cut short
            del damaged[chance.randrange(4096, len(content)) :]
        else:  # a few bits, here and there
            for _ in range(8):
                damaged[chance.randrange(100, len(content))] ^= 1 << chance.randrange(8)
        target.write_bytes(damaged)
        try:
            found = readable(target, instead).book
        except FileRefusal:
            refused += 1
            continue
        assert target.read_bytes() == damaged
        assert subset(found, book), hit
        back += len(list(found.records()))
    whole = len(list(book.records()))
    print(f"{HITS} damaged files: {refused} refused, {back / whole / HITS:.0%} of records back")
    assert back > 0.5 * whole * HITS


def cut_off(path: Path, target: Path, change: str) -> None:
    """Leave at ``target`` what a power cut in the middle of a change would leave of a season."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA cache_size = 1")  # so that pages are written before the end
        connection.execute("BEGIN IMMEDIATE")
        connection.execute(change)
        for source, end in ((path, target), (journal_of(path), journal_of(target))):
            end.write_bytes(source.read_bytes())
        connection.execute("ROLLBACK")


def journal_of(path: Path) -> Path:
    return path.with_name(f"{path.name}-journal")


@pytest.fixture
def many_batches(season_file: SeasonFile, invented: Invented) -> tuple[Path, Book]:
    """A season of so many batches that a change of all of them does not fit into the memory."""
    season_file.write("pick", [invented.batch(n, note="note " * 30) for n in range(800)])
    book = season_file.read()
    season_file.close()
    return season_file.path, book


@pytest.mark.parametrize(
    "change", ["DELETE FROM batch", "UPDATE batch SET note = 'half of them are changed'"]
)
def test_an_unfinished_change_is_taken_back_before_anything_is_read(
    many_batches: tuple[Path, Book], instead: SeasonDetails, tmp_path: Path, change: str
) -> None:
    path, book = many_batches
    half = tmp_path / "half.ripenroom"
    cut_off(path, half, change)
    assert journal_of(half).stat().st_size > 512
    before = half.read_bytes(), journal_of(half).read_bytes()
    rescued = readable(half, instead)
    assert (half.read_bytes(), journal_of(half).read_bytes()) == before
    assert rescued.book == book
    assert not rescued.lost
    assert not rescued.torn


def test_where_the_journal_is_lost_all_that_went_with_it_is_counted(
    many_batches: tuple[Path, Book], instead: SeasonDetails, tmp_path: Path
) -> None:
    path, book = many_batches
    half = tmp_path / "half.ripenroom"
    cut_off(path, half, "UPDATE batch SET note = 'half of them are changed'")
    journal_of(half).unlink()
    rescued = readable(half, instead)
    assert 0 < len(rescued.book.batches) < len(book.batches)
    assert rescued.lost[Batch] == len(book.batches) - len(rescued.book.batches)


def test_what_others_refer_to_is_counted_where_nothing_else_is_left_of_it(
    lived_in: tuple[Path, Book], instead: SeasonDetails
) -> None:
    path, book = lived_in
    gone = next(b for b in book.batches.values() if b.code == "P-0914-5")
    moves = [move for move in book.moves.values() if move.batch_id == gone.id]
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute("DELETE FROM batch WHERE id = ?", (gone.id,))
        connection.execute("DELETE FROM undo_step")
    rescued = readable(path, instead)
    assert rescued.lost == {Batch: 1, type(moves[0]): len(moves)}


def test_what_only_the_undo_log_knows_of_is_counted(
    many_batches: tuple[Path, Book], instead: SeasonDetails
) -> None:
    path, book = many_batches
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("DELETE FROM batch WHERE id IN ('batch-3', 'batch-7')")
    rescued = readable(path, instead)
    assert len(rescued.book.batches) == len(book.batches) - 2
    assert rescued.lost == {Batch: 2}


def without(path: Path, table: str, row_id: str) -> None:
    """Take a row out of a season file behind its back, whoever refers to it."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute(f"DELETE FROM {table} WHERE id = ?", (row_id,))


OPTIONAL = [
    (table.name, field)
    for table in TABLES
    for field in table.columns
    if field in table.optional and field in SHELF_OF_FIELD
]


def test_there_are_references_that_may_be_empty() -> None:
    assert ("pin", "place_id") in OPTIONAL
    assert len(OPTIONAL) >= 7


@pytest.mark.parametrize(("name", "field"), OPTIONAL)
def test_what_has_lost_something_it_need_not_have_never_ends_the_rescue(
    lived_in: tuple[Path, Book], instead: SeasonDetails, tmp_path: Path, name: str, field: str
) -> None:
    path, book = lived_in
    kind = TABLE_NAMED[name].record_type
    record = next(
        r for r in book.records() if type(r) is kind and getattr(r, field, None) is not None
    )
    lost_kind = next(k for k, shelf in SHELF_OF.items() if shelf == SHELF_OF_FIELD[field])
    without(path, TABLE_OF[lost_kind].name, getattr(record, field))
    target = tmp_path / "rescued.ripenroom"
    rescued = rescue(path, target, instead)
    assert verify(target) == []
    assert rescued.lost[lost_kind] == 1
    kept = {r.id: r for r in rescued.book.records()}.get(record.id)
    if kept is None:
        assert (kind, field) == (Pin, "place_id")
        assert rescued.lost[kind] == 1
    else:
        assert kept == replace(record, **{field: None})  # type: ignore[arg-type]
        assert kind not in rescued.lost


def test_what_a_rule_refuses_once_a_reference_is_emptied_goes_with_what_hangs_on_it(
    lived_in: tuple[Path, Book],
    instead: SeasonDetails,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    path, book = lived_in
    batch = next(b for b in book.batches.values() if b.cultivar_id and not b.split_from)

    def rule(other: Batch) -> None:
        if other.id == batch.id and other.cultivar_id is None:
            raise Refusal("cultivar_id", "Which cultivar is it?")

    monkeypatch.setattr(
        "ripenroom.records.validation.RULES_OF", {**RULES_OF, Batch: (*RULES_OF[Batch], rule)}
    )
    assert batch.cultivar_id is not None
    without(path, "cultivar", batch.cultivar_id)
    rescued = rescue(path, tmp_path / "rescued.ripenroom", instead)
    assert batch.id not in rescued.book.batches
    assert rescued.lost[Batch] == 1
    assert rescued.lost[Move] == sum(m.batch_id == batch.id for m in book.moves.values())

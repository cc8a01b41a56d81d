"""A thorough look that changes nothing."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile, connection, verify


def test_a_sound_file_has_no_problems_and_is_not_touched(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    content, times = path.read_bytes(), path.stat().st_mtime_ns
    assert verify(path) == []
    assert path.read_bytes() == content
    assert path.stat().st_mtime_ns == times
    assert list(path.parent.iterdir()) == [path]


def test_a_file_open_for_changes_can_be_verified(season_file: SeasonFile, invented: Any) -> None:
    season_file.write("Add pick", [invented.batch(1)])
    assert verify(season_file.path) == []
    season_file.write("Add pick", [invented.batch(2)])
    assert season_file.undo_label == "Add pick"


def test_all_problems_are_told_not_only_the_first(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE batch SET count = 400 WHERE code IN ('P-0914-5', 'P-0914-6')")
        connection.execute("UPDATE place SET name = 'Elsewhere'")
    problems = verify(path)
    assert len(problems) == 4
    assert sum("is not as it was written" in problem for problem in problems) == 4


def test_a_missing_index_entry_is_a_problem(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute(
            "UPDATE sqlite_master SET sql = 'CREATE INDEX move_of_batch ON"
            " move (batch_id) WHERE 0' WHERE name = 'move_of_batch'"
        )
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("REINDEX move_of_batch")
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute(
            "UPDATE sqlite_master SET sql = 'CREATE INDEX move_of_batch ON"
            " move (batch_id)' WHERE name = 'move_of_batch'"
        )
    problems = verify(path)
    assert problems
    assert all("structure of the file is damaged" in problem for problem in problems)


def test_an_unfinished_change_is_taken_back_in_a_copy_and_left_to_the_next_opening(
    lived_in: tuple[Path, Book], tmp_path: Path
) -> None:
    path, book = lived_in
    crashed = tmp_path / "crashed"
    crashed.mkdir()
    copy = crashed / path.name
    # A copy of the file and its journal, taken while a change is half written to the file.
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA cache_size = 1")
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("UPDATE batch SET note = note || hex(randomblob(3000))")
        shutil.copy(path, copy)
        shutil.copy(f"{path}-journal", f"{copy}-journal")
        connection.execute("ROLLBACK")
    assert copy.read_bytes() != path.read_bytes()

    before = {each.name: each.read_bytes() for each in crashed.iterdir()}
    assert verify(copy) == []
    reading = SeasonFile.open(copy, read_only=True)
    assert reading.read() == book
    assert reading.read_only_because
    reading.close()
    assert {each.name: each.read_bytes() for each in crashed.iterdir()} == before
    assert Path(f"{copy}-journal").exists()
    file = SeasonFile.open(copy)
    assert file.read() == book
    file.close()
    assert list(crashed.iterdir()) == [copy]
    assert verify(copy) == []


def test_a_file_in_use_is_not_called_damaged(
    lived_in: tuple[Path, Book], monkeypatch: pytest.MonkeyPatch
) -> None:
    path, _ = lived_in
    monkeypatch.setattr(connection, "BUSY_S", 0.05)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(FileRefusal) as refused:
            verify(path)
    assert refused.value.kind == "busy"
    assert verify(path) == []


@pytest.mark.parametrize(
    ("change", "why"), [(-1, "cut short"), (1, "too long"), (4096, "too long")]
)
def test_a_length_that_is_not_the_files_own_is_damage(
    lived_in: tuple[Path, Book], change: int, why: str
) -> None:
    path, _ = lived_in
    content = path.read_bytes()
    path.write_bytes(content[:change] if change < 0 else content + bytes(change))
    assert any(why in problem for problem in verify(path))
    with pytest.raises(FileRefusal) as refused:
        SeasonFile.open(path)
    assert refused.value.kind == "damaged"
    assert why in refused.value.message


def test_a_file_grown_by_an_unfinished_change_is_whole_once_that_is_taken_back(
    lived_in: tuple[Path, Book], tmp_path: Path
) -> None:
    path, book = lived_in
    crashed = tmp_path / "grown" / path.name
    crashed.parent.mkdir()
    with closing(sqlite3.connect(path, isolation_level=None)) as database:
        database.execute("PRAGMA cache_size = 1")
        database.execute("BEGIN IMMEDIATE")
        database.execute("UPDATE batch SET note = hex(randomblob(30000))")
        shutil.copy(path, crashed)
        shutil.copy(f"{path}-journal", f"{crashed}-journal")
        database.execute("ROLLBACK")
    assert crashed.stat().st_size > path.stat().st_size
    file = SeasonFile.open(crashed)
    assert file.read() == book
    file.close()
    assert verify(crashed) == []


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileRefusal) as caught:
        verify(tmp_path / "none.ripenroom")
    assert caught.value.kind == "missing"


def test_a_file_of_something_else(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear grower, " * 100)
    (problem,) = verify(path)
    assert "letter.txt" in problem

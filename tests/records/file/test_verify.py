"""A thorough look that changes nothing."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from ripenroom.records.book import Book
from ripenroom.records.file import SeasonFile, verify


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


def test_an_unfinished_change_is_left_to_the_next_opening(
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

    [problem] = verify(copy)
    assert "unfinished change" in problem
    assert Path(f"{copy}-journal").exists()
    file = SeasonFile.open(copy)
    assert file.read() == book
    file.close()
    assert list(crashed.iterdir()) == [copy]
    assert verify(copy) == []

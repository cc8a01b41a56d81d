"""From older files to newer ones, by made-up steps: there are no older files yet."""

import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.file.connection import connect
from ripenroom.records.file.migrations import (
    CURRENT_VERSION,
    STEPS,
    build,
    expected_schema,
    migrate,
    schema_of,
)
from ripenroom.records.file.opening import open_checked
from ripenroom.records.file.soundness import require_sound

WITH_AUTHOR = (
    *STEPS,
    (
        "ALTER TABLE batch ADD COLUMN author TEXT",
        "UPDATE batch SET author = 'unknown'",
        "CREATE TABLE weather (day TEXT NOT NULL PRIMARY KEY, high_c REAL) STRICT",
    ),
)
BREAKING = (*STEPS, ("ALTER TABLE batch ADD COLUMN author TEXT", "DELETE FROM batch"))


@pytest.fixture
def connection(lived_in: tuple[Path, Book]) -> Iterator[sqlite3.Connection]:
    with closing(connect(lived_in[0], writable=True)) as connection:
        yield connection


def test_a_current_file_is_left_alone(path: Path, connection: sqlite3.Connection) -> None:
    content = path.read_bytes()
    assert migrate(connection, path) is None
    assert path.read_bytes() == content
    assert list(path.parent.iterdir()) == [path]


def test_an_older_file_becomes_a_newer_one_and_its_copy_stays(
    path: Path, lived_in: tuple[Path, Book], connection: sqlite3.Connection
) -> None:
    copy = migrate(connection, path, WITH_AUTHOR)
    assert copy == path.with_name("lower field (version 1).ripenroom")
    assert schema_of(connection) == expected_schema(WITH_AUTHOR)
    rows = require_sound(connection, path)
    assert {row[-1] for row in rows["batch"]} == {"unknown"}
    assert len(rows["batch"]) == len(lived_in[1].batches)
    assert connection.execute("PRAGMA foreign_keys").fetchone() == (1,)

    assert verify(copy) == []
    kept = SeasonFile.open(copy)
    assert kept.read() == lived_in[1]
    assert kept.undo_label == "Delete P-0914-0"
    kept.close()


def test_a_newer_file_is_refused_by_an_older_program(
    path: Path, connection: sqlite3.Connection
) -> None:
    migrate(connection, path, WITH_AUTHOR)
    connection.close()
    content = path.read_bytes()
    with pytest.raises(FileRefusal, match="written by a newer ripenroom") as refused:
        SeasonFile.open(path)
    assert refused.value.kind == "newer"
    assert "Update ripenroom" in verify(path)[0]
    assert path.read_bytes() == content


@pytest.mark.parametrize("steps", [BREAKING, (*STEPS, ("ALTER TABLE nothing ADD COLUMN a",))])
def test_a_step_that_fails_leaves_the_file_as_it_was(
    path: Path,
    lived_in: tuple[Path, Book],
    connection: sqlite3.Connection,
    steps: tuple[tuple[str, ...], ...],
) -> None:
    with pytest.raises(sqlite3.DatabaseError):
        migrate(connection, path, steps)
    connection.close()
    assert verify(path) == []
    file = SeasonFile.open(path)
    assert file.read() == lived_in[1]
    assert file.undo_label == "Delete P-0914-0"
    file.close()


def test_a_copy_of_an_earlier_try_is_not_written_over(
    path: Path, connection: sqlite3.Connection
) -> None:
    earlier = path.with_name("lower field (version 1).ripenroom")
    earlier.write_text("mine")
    copy = migrate(connection, path, WITH_AUTHOR)
    assert copy == path.with_name("lower field (version 1, copy 2).ripenroom")
    assert earlier.read_text() == "mine"


def test_opening_brings_an_older_file_up_to_date_once(
    path: Path, lived_in: tuple[Path, Book]
) -> None:
    for _ in range(2):
        with ExitStack() as stack:
            opened = open_checked(path, stack, read_only=False, steps=WITH_AUTHOR)
            assert opened.reason is None
            assert len(opened.rows["batch"]) == len(lived_in[1].batches)
    assert len(list(path.parent.iterdir())) == 2


def test_an_older_file_that_cannot_be_written_is_refused(
    path: Path, lived_in: tuple[Path, Book]
) -> None:
    with ExitStack() as stack, pytest.raises(FileRefusal, match="brought up to date") as refused:
        open_checked(path, stack, read_only=True, steps=WITH_AUTHOR)
    assert refused.value.kind == "unwritable"
    assert list(path.parent.iterdir()) == [path]


def test_a_new_file_has_the_version_of_the_last_step() -> None:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        build(connection)
        assert connection.execute("PRAGMA user_version").fetchone() == (CURRENT_VERSION,)

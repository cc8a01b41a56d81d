"""What a connection is told before anything is read."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from ripenroom.records.file.connection import connect, prepare_to_write, roll_back


@pytest.fixture
def odd_path(tmp_path: Path) -> Path:
    path = tmp_path / "50% off? #1 é.ripenroom"
    path.touch()
    return path


@pytest.mark.parametrize(
    ("pragma", "value"),
    [
        ("journal_mode", "delete"),
        ("synchronous", 3),  # EXTRA
        ("foreign_keys", 1),
        ("trusted_schema", 0),
        ("cell_size_check", 1),
        ("temp_store", 2),  # memory
    ],
)
def test_a_writing_connection_is_set_up(odd_path: Path, pragma: str, value: object) -> None:
    with closing(connect(odd_path, writable=True)) as connection:
        prepare_to_write(connection)
        assert connection.execute(f"PRAGMA {pragma}").fetchone() == (value,)


def test_a_reading_connection_cannot_write(odd_path: Path) -> None:
    with (
        closing(connect(odd_path, writable=False)) as connection,
        pytest.raises(sqlite3.OperationalError, match="readonly"),
    ):
        connection.execute("CREATE TABLE t (a)")


@pytest.mark.parametrize("writable", [True, False])
def test_a_missing_file_is_not_made(tmp_path: Path, writable: bool) -> None:
    with pytest.raises(sqlite3.OperationalError):
        connect(tmp_path / "no.ripenroom", writable=writable)
    assert list(tmp_path.iterdir()) == []


def test_a_file_with_a_write_ahead_log_becomes_one_file_again(odd_path: Path) -> None:
    with closing(sqlite3.connect(odd_path)) as other:
        other.execute("PRAGMA journal_mode = WAL")
        other.execute("CREATE TABLE t (a)")
    with closing(connect(odd_path, writable=True)) as connection:
        prepare_to_write(connection)
        connection.execute("INSERT INTO t VALUES (1)")
        assert [entry.name for entry in odd_path.parent.iterdir()] == [odd_path.name]


def test_rolling_back_twice_is_harmless(odd_path: Path) -> None:
    with closing(connect(odd_path, writable=True)) as connection:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("CREATE TABLE t (a)")
        roll_back(connection)
        roll_back(connection)
        assert connection.execute("SELECT * FROM sqlite_master").fetchall() == []

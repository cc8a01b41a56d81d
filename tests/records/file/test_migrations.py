"""From older files to newer ones: those kept of every version, and made-up steps beyond.

``kept/version-N.ripenroom`` is a file as the last program of version N wrote it. It is never made
anew: a grower's old season has to open for ever.
"""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.file.connection import connect
from ripenroom.records.file.mapping import TABLES
from ripenroom.records.file.migrations import (
    CURRENT_VERSION,
    STEPS,
    build,
    expected_schema,
    migrate,
    schema_of,
)
from ripenroom.records.file.opening import open_checked
from ripenroom.records.file.soundness import BookLook, require_sound

WITH_AUTHOR = (
    *STEPS,
    (
        "ALTER TABLE batch ADD COLUMN author TEXT",
        "UPDATE batch SET author = 'unknown'",
        "CREATE TABLE weather (day TEXT NOT NULL PRIMARY KEY, high_c REAL) STRICT",
    ),
)
KEPT = sorted(Path(__file__).with_name("kept").glob("version-*.ripenroom"))
ADDED: dict[tuple[str, str], Any] = {
    ("cultivar", "rate_factor"): 1.0,
    ("cultivar", "crop_group"): None,
    ("season", "crates_moved_per_evening"): None,
    ("season", "crate_move_minor"): None,
    ("batch", "split_from"): None,
    ("batch", "picked_over"): None,
    ("batch", "taken"): 0,
    ("squeeze_check", "eat_within_days"): None,
    ("squeeze_check", "picked_from"): None,
    ("market_day", "settled_at"): None,
    ("removal", "grade"): "first",
    ("removal", "price_minor"): None,
    ("tree_row", "planted_year"): None,
    ("tree_row", "bloomed_on"): None,
    ("tree_row", "fruit_on_trees"): None,
    ("tree_row", "branch_counts"): "[]",
    ("tree_row", "branches_per_tree"): None,
    ("tree_row", "counted_on"): None,
    ("tree_row", "fruit_doubt"): 0.3,
    ("tree_row", "fruit_mass_g"): None,
    ("place", "weather_lag_h"): None,
    ("want", "sold_by"): "fruit",
    ("want", "amount"): None,
    ("want", "unit_price_minor"): None,
    ("want", "fruit_per_box"): None,
    ("second_grade", "sold_by"): "fruit",
    ("second_grade", "amount_per_day"): None,
    ("second_grade", "unit_price_minor"): None,
    ("second_grade", "fruit_per_box"): None,
    ("lesson", "log_life"): None,
    ("lesson", "log_life_sd"): None,
}
"""What columns that a kept file lacks hold afterwards; tables that it lacks are empty."""

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
    assert copy == path.with_name(f"lower field (version {CURRENT_VERSION}).ripenroom")
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
    copy = path.with_name(f"lower field (version {CURRENT_VERSION}).ripenroom")
    for whole in (path, copy):  # the copy was made before anything was tried
        assert verify(whole) == []
        file = SeasonFile.open(whole)
        assert file.read() == lived_in[1]
        assert file.undo_label == "Delete P-0914-0"
        file.close()


def test_a_copy_of_an_earlier_try_is_not_written_over(
    path: Path, connection: sqlite3.Connection
) -> None:
    earlier = path.with_name(f"lower field (version {CURRENT_VERSION}).ripenroom")
    earlier.write_text("mine")
    copy = migrate(connection, path, WITH_AUTHOR)
    assert copy == path.with_name(f"lower field (version {CURRENT_VERSION}, copy 2).ripenroom")
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
    with ExitStack() as stack, pytest.raises(FileRefusal, match="must be updated") as refused:
        open_checked(path, stack, read_only=True, steps=WITH_AUTHOR)
    assert refused.value.kind == "unwritable"
    assert list(path.parent.iterdir()) == [path]


def test_a_new_file_has_the_version_of_the_last_step() -> None:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        build(connection)
        assert connection.execute("PRAGMA user_version").fetchone() == (CURRENT_VERSION,)


def stored(path: Path) -> dict[str, dict[str, dict[str, Any]]]:
    """Every record of a file by table and id, column by column, without the file's own columns."""
    found: dict[str, dict[str, dict[str, Any]]] = {}
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as connection:
        connection.row_factory = sqlite3.Row
        there = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
        for table in TABLES:
            if table.name in there:
                rows = map(dict, connection.execute(f"SELECT * FROM {table.name}"))
                own = ({k: v for k, v in r.items() if k in table.columns} for r in rows)
                found[table.name] = {row["id"]: row for row in own}
    return found


def version_of(path: Path) -> int:
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as connection:
        version: int = connection.execute("PRAGMA user_version").fetchone()[0]
    return version


def test_a_file_of_every_version_before_this_one_is_kept() -> None:
    assert [version_of(path) for path in KEPT] == list(range(1, CURRENT_VERSION))


@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.stem)
def test_a_kept_file_opens_with_all_that_was_in_it(kept: Path, tmp_path: Path) -> None:
    path = Path(shutil.copyfile(kept, tmp_path / "old farm.ripenroom"))
    before = stored(kept)
    assert len(before["batch"]) > 10
    assert verify(path) == []
    file = SeasonFile.open(path)
    book = file.read()
    assert (file.read_only_because, file.undo_label) == (None, None)
    file.close()

    expected = {
        table.name: {
            row_id: {
                column: row[column] if column in row else ADDED[table.name, column]
                for column in table.columns
            }
            for row_id, row in before.get(table.name, {}).items()
        }
        for table in TABLES
    }
    assert stored(path) == expected
    look = BookLook(
        {
            name: [(None, None, *row.values()) for row in rows.values()]
            for name, rows in expected.items()
        }
    )
    assert list(look.problems()) == []
    assert book == look.book
    assert version_of(path) == CURRENT_VERSION
    assert verify(path) == []


@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.stem)
def test_a_kept_file_is_copied_as_it_was_before_it_is_changed(kept: Path, tmp_path: Path) -> None:
    path = Path(shutil.copyfile(kept, tmp_path / "old farm.ripenroom"))
    SeasonFile.open(path).close()
    [copy] = set(tmp_path.iterdir()) - {path}
    assert copy.name == f"old farm (version {version_of(kept)}).ripenroom"
    assert (version_of(copy), stored(copy)) == (version_of(kept), stored(kept))
    assert verify(copy) == []


@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.stem)
def test_a_kept_file_is_only_read_in_a_copy_that_is_up_to_date(kept: Path, tmp_path: Path) -> None:
    path = Path(shutil.copyfile(kept, tmp_path / "old farm.ripenroom"))
    with closing(SeasonFile.open(path, read_only=True)) as reading:
        book = reading.read()
        assert reading.read_only_because
    assert path.read_bytes() == kept.read_bytes()
    assert list(tmp_path.iterdir()) == [path]
    with closing(SeasonFile.open(path)) as changed:
        assert changed.read() == book


@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.stem)
def test_a_damaged_kept_file_is_refused_and_left_alone(kept: Path, tmp_path: Path) -> None:
    path = Path(shutil.copyfile(kept, tmp_path / "old farm.ripenroom"))
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE place SET half_cooling_h = half_cooling_h + 1")
    content = path.read_bytes()
    with pytest.raises(FileRefusal) as refused:
        SeasonFile.open(path)
    assert refused.value.kind == "damaged"
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]

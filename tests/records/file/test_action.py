"""Actions as transactions, and commits that do not say what they did."""

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.file import SeasonFile, action, undo_log, verify
from ripenroom.records.file.action import Change, Touched
from ripenroom.records.file.digest import row_digest
from ripenroom.records.file.mapping import TABLE_NAMED
from ripenroom.records.file.migrations import build
from ripenroom.records.file.opening import make_file
from ripenroom.records.file.refusal import Unanswered


class Unreliable(sqlite3.Connection):
    """A connection to a disk that fails around COMMIT, as real ones do once in a while."""

    failing: str = ""
    gone: bool = False

    def execute(self, sql: str, *parameters: Any) -> sqlite3.Cursor:
        if self.gone:
            raise self._error()
        if sql != "COMMIT" or not self.failing:
            return super().execute(sql, *parameters)
        if self.failing == "after the commit":
            super().execute("COMMIT")
        if self.failing == "for good":
            super().execute("ROLLBACK")
            self.gone = True
        raise self._error()

    @staticmethod
    def _error() -> sqlite3.OperationalError:
        error = sqlite3.OperationalError("disk I/O error")
        error.sqlite_errorcode = sqlite3.SQLITE_IOERR_FSYNC
        return error


@pytest.fixture
def unreliable(path: Path, invented: Any) -> Iterator[Unreliable]:
    make_file(path, [invented.season])
    connection = sqlite3.connect(path, factory=Unreliable, isolation_level=None)
    undo_log.install(connection)
    yield connection
    connection.close()


def stored_places(path: Path) -> int:
    file = SeasonFile.open(path, read_only=True)
    try:
        return len(file.read().places)
    finally:
        file.close()


def test_a_commit_that_failed_but_was_done_is_done(
    unreliable: Unreliable, path: Path, invented: Any
) -> None:
    unreliable.failing = "after the commit"
    assert action.write(unreliable, "Add", [invented.place], []).put == (invented.place,)
    assert action.step(unreliable, "undo") is not None
    assert action.step(unreliable, "redo") is not None
    assert stored_places(path) == 1
    assert verify(path) == []


def test_a_commit_that_failed_changes_nothing(
    unreliable: Unreliable, path: Path, invented: Any
) -> None:
    unreliable.failing = "before the commit"
    with pytest.raises(sqlite3.OperationalError, match="disk I/O error"):
        action.write(unreliable, "Add", [invented.place], [])
    assert not unreliable.in_transaction
    assert stored_places(path) == 0
    unreliable.failing = ""
    action.write(unreliable, "Add", [invented.place], [])
    assert stored_places(path) == 1


def test_when_nothing_can_be_read_after_a_failed_commit_that_is_said(
    unreliable: Unreliable, invented: Any
) -> None:
    unreliable.failing = "for good"
    with pytest.raises(Unanswered, match="disk I/O error"):
        action.write(unreliable, "Add", [invented.place], [])


PLACE = TABLE_NAMED["place"]


@pytest.fixture
def connection(invented: Any) -> Iterator[sqlite3.Connection]:
    """A file in memory with one place, dated 100."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    build(connection)
    touched = Touched(connection)
    touched.put(invented.place)
    touched.stamp(100)
    yield connection
    connection.close()


def row_of_place(connection: sqlite3.Connection) -> Any:
    return connection.execute("SELECT * FROM place").fetchone()


def test_a_changed_row_is_dated_and_digested_anew(
    connection: sqlite3.Connection, invented: Any
) -> None:
    old_digest = row_of_place(connection)[0]
    touched = Touched(connection)
    renamed = replace(invented.place, name="Back room")
    touched.put(renamed)
    assert touched.stamp(200) == Change(put=(renamed,))
    row = row_of_place(connection)
    assert row[1] == 200
    assert row[0] == row_digest("place", row)
    assert (touched.removed, touched.added) == ([old_digest], [row[0]])


def test_an_unchanged_row_keeps_its_date(connection: sqlite3.Connection, invented: Any) -> None:
    before = row_of_place(connection)
    touched = Touched(connection)
    touched.put(invented.place)
    assert touched.stamp(200) == Change()
    assert row_of_place(connection) == before
    assert (touched.removed, touched.added) == ([], [])


def test_a_deleted_row_takes_its_digest_along(
    connection: sqlite3.Connection, invented: Any
) -> None:
    digest = row_of_place(connection)[0]
    touched = Touched(connection)
    touched.delete(PLACE, invented.place.id)
    assert touched.stamp(200) == Change(deleted=(invented.place,))
    assert (touched.removed, touched.added) == ([digest], [])


def test_what_comes_and_goes_within_an_action_never_was(
    connection: sqlite3.Connection, invented: Any
) -> None:
    touched = Touched(connection)
    touched.put(replace(invented.place, id="other"))
    touched.delete(PLACE, "other")
    assert touched.stamp(200) == Change()
    assert (touched.removed, touched.added) == ([], [])

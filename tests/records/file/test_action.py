"""Actions as transactions, and commits that do not say what they did."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.file import SeasonFile, action, undo_log, verify
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

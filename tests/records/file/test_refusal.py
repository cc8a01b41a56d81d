"""Errors of SQLite and of the system, in words a grower can act on."""

import errno
import sqlite3
from pathlib import Path

import pytest

from ripenroom.records.file.refusal import FileRefusal, Unanswered, UndoLost, refusing

SEASON = Path("/farm/lower field.ripenroom")


def _error(code: int) -> sqlite3.OperationalError:
    error = sqlite3.OperationalError("as SQLite says it")
    error.sqlite_errorcode = code
    return error


@pytest.mark.parametrize(
    ("error", "kind", "words"),
    [
        (_error(sqlite3.SQLITE_FULL), "full", "disk is full"),
        (_error(sqlite3.SQLITE_BUSY), "busy", "another program"),
        (_error(sqlite3.SQLITE_BUSY_SNAPSHOT), "busy", "another program"),
        (_error(sqlite3.SQLITE_READONLY), "unwritable", "permissions"),
        (
            _error(sqlite3.SQLITE_READONLY_DBMOVED),
            "unwritable",
            "moved, renamed, replaced or deleted",
        ),
        (_error(sqlite3.SQLITE_READONLY_ROLLBACK), "unwritable", "unfinished change"),
        (_error(sqlite3.SQLITE_IOERR_WRITE), "unwritable", "reported an error"),
        (_error(sqlite3.SQLITE_IOERR_SHORT_READ), "damaged", "cut short"),
        (_error(sqlite3.SQLITE_CANTOPEN), "unwritable", "permissions"),
        (_error(sqlite3.SQLITE_NOTADB), "foreign", "not a ripenroom season file"),
        (_error(sqlite3.SQLITE_CORRUPT_INDEX), "damaged", "damaged or cut short"),
        (sqlite3.OperationalError("Could not decode to UTF-8"), "damaged", "damaged or cut short"),
        (Unanswered("disk I/O error"), "unwritable", "that change may be missing"),
        (UndoLost("changed"), "damaged", "you can make other changes"),
        (MemoryError(), "damaged", "damaged or cut short"),
        (UnicodeDecodeError("utf-8", b"\xd2", 0, 1, "invalid"), "damaged", "damaged or cut short"),
        (FileNotFoundError(errno.ENOENT, "No such file"), "missing", "is not in /farm"),
        (OSError(errno.ENOSPC, "No space left on device"), "full", "disk is full"),
        (PermissionError(errno.EACCES, "Permission denied"), "unwritable", "Permission denied"),
    ],
)
def test_an_error_becomes_one_line_that_names_the_file(
    error: Exception, kind: str, words: str
) -> None:
    with pytest.raises(FileRefusal) as refused, refusing(SEASON):
        raise error
    assert refused.value.kind == kind
    assert words in refused.value.message
    assert refused.value.message.startswith("lower field.ripenroom ")
    assert "\n" not in refused.value.message
    assert str(refused.value) == refused.value.message


def test_a_slip_of_the_program_stays_one() -> None:
    with pytest.raises(sqlite3.ProgrammingError), refusing(SEASON):
        raise sqlite3.ProgrammingError("Cannot operate on a closed database.")

"""Connections to a season file, and what each is told before anything is read."""

import sqlite3
from pathlib import Path
from typing import Final

BUSY_S: Final = 2.0
"""How long to wait for another program (a backup, an indexer) to let go of the file."""

_LARGEST_VALUE: Final = 10_000_000  # bytes; no note is longer, a damaged length may be

_PRAGMAS: Final = (
    "trusted_schema = OFF",  # nothing stored in the file may call functions
    "cell_size_check = ON",
    "foreign_keys = ON",
    "temp_store = MEMORY",  # no stray files
)
_PRAGMAS_TO_WRITE: Final = (
    # The file is whole at rest and can be copied, mailed and synced; with a write-ahead log the
    # newest changes would be in a second file.
    "journal_mode = DELETE",
    # Also syncs the folder: a change that was acknowledged survives a power cut.
    "synchronous = EXTRA",
)


def connect(path: Path, *, writable: bool) -> sqlite3.Connection:
    """A connection to a file that exists; it never makes one, and a reading one never writes."""
    mode = "rw" if writable else "ro"
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=BUSY_S, isolation_level=None
    )
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LARGEST_VALUE)
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")
    return connection


def prepare_to_write(connection: sqlite3.Connection) -> None:
    """Choose how changes reach the disk; not before the file is known to be a season."""
    for pragma in _PRAGMAS_TO_WRITE:
        connection.execute(f"PRAGMA {pragma}")


def roll_back(connection: sqlite3.Connection) -> None:
    """Take the open transaction back, if there still is one: a full disk has done so already."""
    if connection.in_transaction:
        connection.execute("ROLLBACK")

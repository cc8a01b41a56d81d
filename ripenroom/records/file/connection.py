"""Connections to a season file, and what each is told before anything is read."""

import sqlite3
import stat
from pathlib import Path
from typing import Final

from ripenroom.private_file import JOURNAL_SUFFIX, real_path
from ripenroom.records.file.refusal import FileRefusal
from ripenroom.texts import tr

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


LOG_SUFFIX: Final = "-wal"
"""Ending of the write-ahead log that a season has if another program chose to keep one."""

_BESIDE: Final = (JOURNAL_SUFFIX, LOG_SUFFIX, "-shm")
"""Endings of what SQLite looks for beside a file as it opens it."""


def connect(path: Path, *, writable: bool) -> sqlite3.Connection:
    """A connection to a file that exists; it never makes one, and a reading one never writes.

    It may be handed to another thread, but is used by one at a time: a season is opened beside
    the window that then has it.
    Raises :class:`FileRefusal` where something lies beside it that only looks like a journal.
    """
    require_files_beside(path)
    mode = "rw" if writable else "ro"
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=BUSY_S,
        isolation_level=None,
        check_same_thread=False,
    )
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LARGEST_VALUE)
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")
    return connection


def require_files_beside(path: Path) -> None:
    """Refuse what SQLite would wait for (a pipe), or follow to somebody else's file (a link)."""
    real = real_path(path)  # SQLite looks there too
    for suffix in _BESIDE:
        beside = real.with_name(real.name + suffix)
        # Looked at once: another process may take its journal away between two looks. Where there
        # is none, or the name is too long for the disk to have any, nothing is in the way.
        try:
            mode = beside.lstat().st_mode
        except OSError:
            continue
        if not stat.S_ISREG(mode):
            raise FileRefusal(
                "unwritable",
                tr(
                    "Beside {file} lies {other}, which is no file, but a link, a folder, a pipe "
                    "or a device. Move that away, then open the season again."
                ).format(file=path.name, other=beside.name),
            )


def prepare_to_write(connection: sqlite3.Connection) -> None:
    """Choose how changes reach the disk; not before the file is known to be a season."""
    for pragma in _PRAGMAS_TO_WRITE:
        connection.execute(f"PRAGMA {pragma}")


def roll_back(connection: sqlite3.Connection) -> None:
    """Take the open transaction back, if there still is one: a full disk has done so already."""
    if connection.in_transaction:
        connection.execute("ROLLBACK")

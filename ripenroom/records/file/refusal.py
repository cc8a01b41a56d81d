"""Why a season file could not be opened or written, in one clear line."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

from ripenroom.private_file import OfASeason

FileRefusalKind = Literal["missing", "foreign", "newer", "damaged", "busy", "unwritable", "full"]


class FileRefusal(Exception):  # noqa: N818 - it refuses; the program has not erred
    """A season file that cannot be opened or written; nothing in it has been changed.

    ``message`` is one line: which file, what is wrong with it, what to do.
    """

    def __init__(self, kind: FileRefusalKind, message: str) -> None:
        self.kind: FileRefusalKind = kind
        self.message = message
        super().__init__(message)

    @property
    def file_at_fault(self) -> bool:
        """Whether it is about the file itself (not a season, newer, damaged), not getting at it."""
        return self.kind in ("foreign", "newer", "damaged")


class Unanswered(sqlite3.OperationalError):
    """A commit failed, and then the file could not be read to see whether it was done."""


class UndoLost(sqlite3.DatabaseError):
    """How to take a step back is no longer in the file as it was written."""


@contextmanager
def refusing(path: Path) -> Iterator[None]:
    """Turn what SQLite or the system raises about ``path`` into a :class:`FileRefusal`."""
    try:
        yield
    except sqlite3.ProgrammingError:  # a slip of ours: used after close, or in another thread
        raise
    except (sqlite3.Error, MemoryError, UnicodeDecodeError) as error:
        raise refusal_of(error, path) from error
    except OSError as error:
        raise refusal_of_system(error, path) from error


def refusal_of(error: sqlite3.Error | MemoryError | UnicodeDecodeError, path: Path) -> FileRefusal:
    """The refusal that says what an error of SQLite means for the grower's file."""
    # A text (or a message of SQLite's about one) that is no UTF-8, and an impossible size, carry
    # no code: both are bit rot.
    if isinstance(error, Unanswered):
        return FileRefusal("unwritable", f"{path.name} {_UNANSWERED}")
    if isinstance(error, UndoLost):
        return FileRefusal("damaged", f"{path.name} {_UNDO_LOST}")
    code: int = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT)
    if code in _BY_EXTENDED_CODE:
        kind, text = _BY_EXTENDED_CODE[code]
    else:
        kind, text = _BY_CODE.get(code & 0xFF, _DAMAGED)
    return FileRefusal(kind, f"{path.name} {text}")


def refusal_of_system(error: OSError, path: Path) -> FileRefusal:
    """The refusal for an error of the operating system about ``path``."""
    if isinstance(error, FileNotFoundError):
        return FileRefusal(
            "missing",
            f"{path.name} is not in {path.absolute().parent}. Check the name and the folder.",
        )
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return FileRefusal("full", f"{path.name} {_FULL[1]}")
    reason = error.strerror or str(error)
    if isinstance(error, OfASeason):
        return FileRefusal("unwritable", f"{path.name} was not written: {reason}.")
    return FileRefusal(
        "unwritable",
        f"{path.name} cannot be used: {reason}. Check the disk and the folder's permissions.",
    )


_Wording = tuple[FileRefusalKind, str]

_DAMAGED: _Wording = (
    "damaged",
    "is damaged or cut short. Leave it as it is and open an earlier copy of it.",
)
_FULL: _Wording = (
    "full",
    "was not changed: the disk is full. Make room on it, then do the same again.",
)
_UNWRITABLE: _Wording = (
    "unwritable",
    "cannot be written. Check the disk and the permissions of the file and its folder.",
)
_BUSY: _Wording = (
    "busy",
    "is being read or written by another program. Try again in a moment.",
)
_MOVED: _Wording = (
    "unwritable",
    "was moved, renamed or replaced by another program (a sync program, perhaps), or deleted, "
    "while it was open. The change was not written. Open the file again where it is now, or save "
    "all that is shown here as a new file: File, Save a copy as.",
)
_HALF_DONE: _Wording = (
    "unwritable",
    "holds an unfinished change, which is taken back when it is opened for changes. Where it "
    "cannot be written, copy it, with the file of the same name that ends in -journal, to a "
    "folder you may write to, and open the copy.",
)
_DISK_ERROR: _Wording = (
    "unwritable",
    "was not changed: the disk reported an error. Copy the file to another disk and open it there.",
)

_UNANSWERED = (
    "stopped answering while a change was written, so it may hold that change or not. Close the "
    "season, see that the disk is there, open it again and look."
)
_UNDO_LOST = (
    "is damaged where it keeps how to take this step back, so it cannot be done. The records "
    "themselves are as they were written, and other changes can still be made."
)

_BY_EXTENDED_CODE: dict[int, _Wording] = {
    sqlite3.SQLITE_READONLY_DBMOVED: _MOVED,
    sqlite3.SQLITE_READONLY_ROLLBACK: _HALF_DONE,
    sqlite3.SQLITE_IOERR_SHORT_READ: _DAMAGED,
}
_BY_CODE: dict[int, _Wording] = {
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_BUSY: _BUSY,
    sqlite3.SQLITE_LOCKED: _BUSY,
    sqlite3.SQLITE_READONLY: _UNWRITABLE,
    sqlite3.SQLITE_CANTOPEN: _UNWRITABLE,
    sqlite3.SQLITE_PERM: _UNWRITABLE,
    sqlite3.SQLITE_IOERR: _DISK_ERROR,
    sqlite3.SQLITE_NOTADB: (
        "foreign",
        "is not a ripenroom season file, or its beginning is damaged. Choose another file, or "
        "open an earlier copy of it.",
    ),
}

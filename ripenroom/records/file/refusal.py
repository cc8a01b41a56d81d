"""Why a season file could not be opened or written, in one clear line."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

from ripenroom.private_file import OfASeason
from ripenroom.texts import noted, tr

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
        return FileRefusal("unwritable", tr(_UNANSWERED).format(file=path.name))
    if isinstance(error, UndoLost):
        return FileRefusal("damaged", tr(_UNDO_LOST).format(file=path.name))
    code: int = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT)
    if code in _BY_EXTENDED_CODE:
        kind, text = _BY_EXTENDED_CODE[code]
    else:
        kind, text = _BY_CODE.get(code & 0xFF, _DAMAGED)
    return FileRefusal(kind, tr(text).format(file=path.name))


def refusal_of_system(error: OSError, path: Path) -> FileRefusal:
    """The refusal for an error of the operating system about ``path``."""
    if isinstance(error, FileNotFoundError):
        return FileRefusal(
            "missing",
            tr("{file} is not in {parent}. Check the name and the folder.").format(
                file=path.name, parent=path.absolute().parent
            ),
        )
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return FileRefusal("full", tr(_FULL[1]).format(file=path.name))
    reason = error.strerror or str(error)
    if isinstance(error, OfASeason):
        return FileRefusal(
            "unwritable",
            tr("{file} was not written: {reason}.").format(file=path.name, reason=reason),
        )
    return FileRefusal(
        "unwritable",
        tr("{file} cannot be used: {reason}. Check the disk and the folder's permissions.").format(
            file=path.name, reason=reason
        ),
    )


_Wording = tuple[FileRefusalKind, str]

_DAMAGED: _Wording = (
    "damaged",
    noted("{file} is damaged or cut short."),
)
_FULL: _Wording = (
    "full",
    noted("{file} was not changed: the disk is full. Make room on it, then try again."),
)
_UNWRITABLE: _Wording = (
    "unwritable",
    noted(
        "{file} cannot be written. Check the disk and the permissions of the file and its folder."
    ),
)
_BUSY: _Wording = (
    "busy",
    noted("{file} is being read or written by another program. Try again in a moment."),
)
_MOVED: _Wording = (
    "unwritable",
    noted(
        "{file} was moved, renamed, replaced or deleted while it was open (by a sync program,"
        " perhaps). The change was not saved. Open the file where it is now, or save all that"
        " is shown here as a new file: File, Save a copy as."
    ),
)
_HALF_DONE: _Wording = (
    "unwritable",
    noted(
        "{file} has an unfinished change, which is undone when it is opened for changes. It "
        "cannot be written here: copy it, with the file of the same name that ends in "
        "-journal, to a folder you may write to, and open the copy."
    ),
)
_DISK_ERROR: _Wording = (
    "unwritable",
    noted(
        "{file} was not changed: the disk reported an error. Copy the file to another "
        "disk and open it there."
    ),
)

_UNANSWERED = noted(
    "{file} stopped answering while a change was saved, so that change may be missing. Close "
    "the season, check that the disk is there, and open it again."
)
_UNDO_LOST = noted(
    "{file} is damaged where it keeps this undo step, so it cannot be undone. The records are"
    " sound, and you can make other changes."
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
        noted("{file} is not a ripenroom season file, or its beginning is damaged."),
    ),
}

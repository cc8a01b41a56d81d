"""Opening a season file, and making a new one.

It is opened for changes if that can be, else only to be read, and only when every record in it is
sound. A new file is there whole, or not at all.
"""

import os
import sqlite3
from collections.abc import Iterable
from contextlib import ExitStack, closing
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ripenroom.private_file import is_kept_copy, sync_folder, unfinished_beside
from ripenroom.records.book import Record
from ripenroom.records.file.action import insert_first, refusal_of_constraint
from ripenroom.records.file.connection import connect, prepare_to_write, roll_back
from ripenroom.records.file.lock import HeldElsewhere, NotOurs, WriterLock, lock_path
from ripenroom.records.file.migrations import STEPS, Step, migrate, without_records
from ripenroom.records.file.refusal import FileRefusal, refusing
from ripenroom.records.file.soundness import (
    Heed,
    Rows,
    require_file,
    require_season_file,
    require_sound,
    require_whole,
    unheeded,
)
from ripenroom.texts import noted, tr

ONLY_READ: Final = noted("It was opened only to be read.")
_COPY_IT: Final = noted("Copy it to a folder you may write to and open the copy.")


@dataclass(frozen=True, slots=True)
class OpenedFile:
    """A checked file: its connection, all its rows, and why it can only be read, if so."""

    connection: sqlite3.Connection
    rows: Rows
    reason: str | None


def open_checked(
    path: Path,
    closing: ExitStack,
    *,
    read_only: bool,
    wait_s: float = 0.0,
    steps: tuple[Step, ...] = STEPS,
    heed: Heed = unheeded,
) -> OpenedFile:
    """Open a season file; ``closing`` gets what has to be let go of afterwards.

    Where another has it open for changes, that is waited for up to ``wait_s`` seconds. An older
    file is brought to the version of the last step, if it can be written. Raises
    :class:`FileRefusal`, or what SQLite raises about a file that is none of its own.
    """
    require_file(path)
    reason = tr(ONLY_READ) if read_only else _hold(path, closing, wait_s)
    connection = _connect(path, closing, writable=reason is None)
    if reason is None and (reason := _write_protected(connection, path)) is not None:
        connection = _connect(path, closing, writable=False)
    version, rows = _check(connection, path, steps, heed)
    if reason is None:
        prepare_to_write(connection)
        _clear_journal(connection, path, version)
    if version < len(steps):
        if reason is not None:
            raise FileRefusal(
                "unwritable",
                tr(
                    "{file} is from an older ripenroom and must be updated, but it cannot be "
                    "changed here. {copy_it}"
                ).format(file=path.name, copy_it=tr(_COPY_IT)),
            )
        migrate(connection, path, steps)
        version, rows = _check(connection, path, steps, heed)
    return OpenedFile(connection, rows, reason)


def _connect(path: Path, closing: ExitStack, *, writable: bool) -> sqlite3.Connection:
    connection = connect(path, writable=writable)
    closing.callback(connection.close)
    return connection


def _check(
    connection: sqlite3.Connection, path: Path, steps: tuple[Step, ...], heed: Heed
) -> tuple[int, Rows]:
    connection.execute("BEGIN")  # so that no change of another window falls in between
    try:
        version = require_season_file(connection, path, steps)
        require_whole(connection, path)
        return version, require_sound(connection, path, heed)
    finally:
        roll_back(connection)


def _hold(path: Path, closing: ExitStack, wait_s: float) -> str | None:
    """Lock the file for changes until ``closing`` closes, or say why not."""
    if is_kept_copy(path):
        kept = tr("{file} is one of the copies that are kept by themselves")
        return _only_read(kept.format(file=path.name))
    if not os.access(path, os.W_OK):
        return _only_read(tr("{file} is write-protected").format(file=path.name))
    if path.stat().st_nlink > 1:
        # Lock and journal lie beside a name: by another name neither would be found.
        return tr(
            "{file} also has another name (a hard link), so here it can only be read: two "
            "programs at once could damage it. Copy it and open the copy, or delete the other"
            " name and open it again."
        ).format(file=path.name)
    try:
        lock = WriterLock(path, wait_s)
    except HeldElsewhere as held:
        who = f" ({held.holder.words})" if held.holder else ""
        return tr(
            "{file} is open for changes in another ripenroom window{who}, so here it can only be "
            "read. Close it there, then open it here again."
        ).format(file=path.name, who=who)
    except NotOurs:
        return tr(
            "Beside {file} lies {other}, which is a link or was not made by "
            "ripenroom, so the season can only be read. Move that away, then open it "
            "again."
        ).format(file=path.name, other=lock_path(path).name)
    except OSError as error:
        beside = tr("Nothing can be saved in the folder of {file} ({reason})")
        return _only_read(beside.format(file=path.name, reason=error.strerror))
    closing.callback(lock.release)
    return None


def _write_protected(connection: sqlite3.Connection, path: Path) -> str | None:
    try:
        connection.execute("BEGIN IMMEDIATE")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_READONLY:
            raise
        return _only_read(tr("{file} is write-protected").format(file=path.name))
    connection.execute("ROLLBACK")
    return None


def _clear_journal(connection: sqlite3.Connection, path: Path, version: int) -> None:
    # A process killed early in a change leaves a journal with nothing in it to take back. Nobody
    # minds it, but it would stay beside the file until the next commit: so here is one.
    if path.with_name(f"{path.name}-journal").exists():
        connection.execute(f"PRAGMA user_version = {version}")


def _only_read(because: str) -> str:
    text = tr("{because}, so it can only be read. {copy_it}")
    return text.format(because=because, copy_it=tr(_COPY_IT))


def make_file(path: Path, records: Iterable[Record]) -> None:
    """Make a season file that holds ``records``, readable by its owner only.

    Raises :class:`FileRefusal` if there is something of that name, or if it cannot be written, and
    :class:`ripenroom.records.refusal.Refusal` for a record that no file can keep.
    """
    if os.path.lexists(path):
        raise _already_there(path)
    if not path.parent.is_dir():
        raise FileRefusal(
            "missing",
            tr("There is no folder {parent}. Make it first, or choose another.").format(
                parent=path.parent
            ),
        )
    unfinished = unfinished_beside(path)
    with refusing(path):
        try:
            begun = os.open(unfinished, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            with os.fdopen(begun, "wb") as file:
                file.write(without_records())
            _fill(unfinished, records)
            _put_in_place(unfinished, path)
            sync_folder(path.parent)
        except FileExistsError as error:
            raise _already_there(path) from error
        finally:
            for left in (unfinished, unfinished.with_name(f"{unfinished.name}-journal")):
                left.unlink(missing_ok=True)


def _fill(path: Path, records: Iterable[Record]) -> None:
    with closing(connect(path, writable=True)) as connection:
        prepare_to_write(connection)
        connection.execute("BEGIN IMMEDIATE")
        try:
            insert_first(connection, records)
            connection.execute("COMMIT")
        except sqlite3.IntegrityError as error:
            raise refusal_of_constraint(connection, error) from error
        finally:
            roll_back(connection)


def _put_in_place(unfinished: Path, path: Path) -> None:
    try:
        os.link(unfinished, path)  # unlike a rename it never replaces what another program made
    except FileExistsError:
        raise
    except OSError:  # a USB stick's file system has no links
        if os.path.lexists(path):
            raise _already_there(path) from None
        unfinished.rename(path)


def _already_there(path: Path) -> FileRefusal:
    return FileRefusal(
        "unwritable",
        tr("{file} is already there and is left as it is. Choose another name.").format(
            file=path.name
        ),
    )

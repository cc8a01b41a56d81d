"""Making a season file: it is there whole, or not at all."""

import os
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from ripenroom.private_file import sync_folder, unfinished_beside
from ripenroom.records.book import Record
from ripenroom.records.file.action import insert_first, refusal_of_constraint
from ripenroom.records.file.connection import connect, prepare_to_write, roll_back
from ripenroom.records.file.migrations import build
from ripenroom.records.file.refusal import FileRefusal, refusing
from ripenroom.texts import tr


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
            os.close(os.open(unfinished, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
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
            build(connection)
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

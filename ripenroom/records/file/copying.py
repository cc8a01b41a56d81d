"""Copies of whole season files: one to keep under another name, and one to read from.

A season file is whole by itself between two changes. Where a program was killed in the middle of
one, what undoes that half lies in a journal beside it, and a copy without it would be neither the
season before the change nor the one after.
"""

import shutil
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from ripenroom.bounded_file import open_file
from ripenroom.private_file import (
    JOURNAL_SUFFIX,
    OfASeason,
    real_path,
    require_no_season,
    whole_or_not,
)
from ripenroom.records.file.connection import LOG_SUFFIX, connect, require_files_beside
from ripenroom.records.file.lock import HeldElsewhere, WriterLock
from ripenroom.records.file.migrations import CURRENT_VERSION
from ripenroom.records.file.refusal import FileRefusal, refusing
from ripenroom.records.file.schema import APPLICATION_ID
from ripenroom.records.file.soundness import require_file
from ripenroom.texts import tr

_TRIES: Final = 20
"""A season that is written to this often while it is copied is being written to without end."""

_Stamp = tuple[int, int, int] | None


def copy_season_file(source: Path, target: Path) -> None:
    """Copy a season file to ``target``, whole or not at all; another season there is replaced.

    Raises :class:`FileRefusal` where it cannot be, and where ``target`` is the season itself, one
    that is open for changes anywhere, or belongs to a season otherwise.
    """
    with refusing(target):
        require_no_season(target, for_season=True)
        if target.exists() and target.samefile(source):
            raise OfASeason(target, tr("the open season itself"))
        if not target.is_file():
            _put(source, target)
            return
        try:
            lock = WriterLock(target)
        except HeldElsewhere as held:
            raise OfASeason(target, tr("a season that is open elsewhere")) from held
        try:
            _put(source, target)
        finally:
            lock.release()


def _put(source: Path, target: Path) -> None:
    with readable_copy(source) as copy, whole_or_not(target) as unfinished:
        shutil.copyfile(copy, unfinished)


@contextmanager
def readable_copy(path: Path) -> Iterator[Path]:
    """A copy of a season file, with its journal if it has one, that is gone after the block.

    Opened for changes, it takes an unfinished change back by itself; what another program left in
    a write-ahead log is in the file already. ``path`` is only read. Raises :class:`FileRefusal`.
    """
    with TemporaryDirectory(prefix="ripenroom-") as folder:
        copy = Path(folder) / path.name
        with refusing(path):
            require_file(path)
            require_files_beside(path)
            _copy_with_journal(real_path(path), copy)
        _fold_log(copy)
        yield copy


def needs_a_copy(path: Path) -> bool:
    """Whether a season file can only be read in a copy of its own: a change in it is unfinished,
    part of it lies in a write-ahead log, or it is of an older version.

    What is no season file, or cannot be read, needs none: whoever opens it finds out. What is no
    file at all, such as a pipe, is not waited for.
    """
    try:
        with open_file(path, sys.maxsize) as file:
            header = file.read(_HEADER_BYTES)
        real = real_path(path)
    except OSError:
        return False
    if int.from_bytes(header[68:72], "big") != APPLICATION_ID:
        return False
    beside = (_beside(real, suffix) for suffix in (JOURNAL_SUFFIX, LOG_SUFFIX))
    version = int.from_bytes(header[60:64], "big")
    return _is_logged(header) or version < CURRENT_VERSION or any(map(Path.is_file, beside))


_HEADER_BYTES: Final = 100
"""The header of a database, whose bytes 18 and 19 are 2 where it has a write-ahead log; its version
is at 60, its application's id at 68 (https://sqlite.org/fileformat2.html, section 1.3)."""


def _is_logged(header: bytes) -> bool:
    return 2 in header[18:20]


def _fold_log(copy: Path) -> None:
    """Bring what lies in the write-ahead log of a copy into it; a damaged one stays as it is."""
    with copy.open("rb") as file:
        logged = _is_logged(file.read(_HEADER_BYTES))
    if logged:
        with suppress(sqlite3.Error), closing(connect(copy, writable=True)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")


def _copy_with_journal(path: Path, copy: Path) -> None:
    """Copy both as they are at one moment: again, where either changed meanwhile."""
    beside = (JOURNAL_SUFFIX, LOG_SUFFIX)
    pairs = [*((_beside(path, suffix), _beside(copy, suffix)) for suffix in beside), (path, copy)]
    for _ in range(_TRIES):
        before = [_stamp(source) for source, _ in pairs]
        for source, target in pairs:
            target.unlink(missing_ok=True)
            with suppress(FileNotFoundError):
                if source.is_file():
                    shutil.copyfile(source, target)
        if before == [_stamp(source) for source, _ in pairs]:
            return
    raise FileRefusal(
        "busy",
        tr("{file} is being written to all the time. Try again in a moment.").format(
            file=path.name
        ),
    )


def _beside(path: Path, suffix: str) -> Path:
    return path.with_name(path.name + suffix)


def _stamp(path: Path) -> _Stamp:
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns

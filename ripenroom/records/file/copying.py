"""Copies of whole season files: one to keep under another name, and one to read from.

A season file is whole by itself between two changes. Where a program was killed in the middle of
one, what undoes that half lies in a journal beside it, and a copy without it would be neither the
season before the change nor the one after.
"""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from ripenroom.private_file import (
    JOURNAL_SUFFIX,
    OfASeason,
    real_path,
    require_no_season,
    whole_or_not,
)
from ripenroom.records.file.lock import HeldElsewhere, WriterLock
from ripenroom.records.file.refusal import FileRefusal, refusing
from ripenroom.records.file.soundness import require_file

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
            raise OfASeason(target, "the open season itself")
        if not target.is_file():
            _put(source, target)
            return
        try:
            lock = WriterLock(target)
        except HeldElsewhere as held:
            raise OfASeason(target, "a season that is open elsewhere") from held
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

    Opened for changes, it takes an unfinished change back by itself. ``path`` is only read. Raises
    :class:`FileRefusal`.
    """
    with TemporaryDirectory(prefix="ripenroom-") as folder:
        copy = Path(folder) / path.name
        with refusing(path):
            require_file(path)
            _copy_with_journal(real_path(path), copy)
        yield copy


def _copy_with_journal(path: Path, copy: Path) -> None:
    """Copy both as they are at one moment: again, where either changed meanwhile."""
    pairs = [(_journal_of(path), _journal_of(copy)), (path, copy)]
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
        "busy", f"{path.name} is being written to all the time. Try again in a moment."
    )


def _journal_of(path: Path) -> Path:
    return path.with_name(path.name + JOURNAL_SUFFIX)


def _stamp(path: Path) -> _Stamp:
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns

"""Reading files of strangers: only what is a file, and only as much of it as is of any use."""

import errno
import io
import os
import stat
from pathlib import Path
from typing import Any, BinaryIO, TypeVar

from ripenroom.texts import tr

Said = TypeVar("Said", int, bytes)


class NotRead(OSError):  # noqa: N818 - it refuses; the program has not erred
    """A file that is not read: it is none, or larger than anything of use."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(errno.EINVAL, reason, str(path))


def open_file(path: Path, most_bytes: int) -> BinaryIO:
    """A file, open to be read in bytes; raises :class:`NotRead`, or ``OSError``.

    A pipe, a device or a folder is refused before anything waits for it: they give no end, or no
    beginning. So is a file that is larger than ``most_bytes`` now; one that grows, or that says
    too little of its size, has to be counted as it is read.
    """
    # Without NONBLOCK, opening a pipe that nobody writes to would never end.
    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | _BINARY)
    try:
        found = os.fstat(descriptor)
        if not stat.S_ISREG(found.st_mode):
            raise NotRead(path, tr("it is not a file, but a folder, a pipe or a device"))
        if found.st_size > most_bytes:
            raise _too_large(path, most_bytes)
        return io.BufferedReader(_Unwaited(descriptor, path))
    except BaseException:
        os.close(descriptor)
        raise


class _Unwaited(io.FileIO):
    """What is read without waiting: where that gives nothing yet, it is no file to be read.

    Some of ``/proc`` call themselves files and have no more to say until something happens.
    """

    def __init__(self, descriptor: int, path: Path) -> None:
        super().__init__(descriptor, "rb")
        self._path = path

    def readinto(self, buffer: Any, /) -> int:
        """Read some bytes; raises :class:`NotRead` where there are none yet."""
        count: int | None = super().readinto(buffer)
        return self._said(count)

    def readall(self) -> bytes:
        """Read all bytes; raises :class:`NotRead` where there are none yet."""
        return self._said(super().readall())

    def _said(self, found: Said | None) -> Said:
        if found is None:
            raise NotRead(self._path, tr("nothing can be read from it as from a file"))
        return found


_BINARY = getattr(os, "O_BINARY", 0)


def read_file(path: Path, most_bytes: int) -> bytes:
    """All of a file that holds no more than ``most_bytes``; raises as :func:`open_file` does.

    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> path = Path(folder.name) / "notes"
    >>> _ = path.write_bytes(b"wet")
    >>> read_file(path, 3)
    b'wet'
    >>> folder.cleanup()
    """
    with open_file(path, most_bytes) as file:
        said = os.fstat(file.fileno()).st_size
        content = file.read(said + 1)
        if len(content) > said:  # it grew, or is one of those that say nothing of their size
            content += file.read(most_bytes + 1 - len(content))
    if len(content) > most_bytes:
        raise _too_large(path, most_bytes)
    return content


def _too_large(path: Path, most_bytes: int) -> NotRead:
    most = in_words(most_bytes)
    return NotRead(path, tr("it is too large: more than {most}").format(most=most))


def in_words(size: int) -> str:
    """A number of bytes, such as "5 MB" or "100 kB"."""
    return f"{size // 1_000_000} MB" if size >= 1_000_000 else f"{size // 1000} kB"

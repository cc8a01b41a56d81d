"""One writer at a time: a lock beside the season file, held while it is open for changes.

The lock is the system's own, on an open file: it ends with the process, however that ends, so a
lock file left by a crash locks nobody out. It lies beside the season file and not on it: on some
systems such a lock would keep SQLite itself out, and on others closing it would drop SQLite's.
SQLite's locks stay the truth for each single change; this one tells a second opener at once.
"""

import contextlib
import errno
import json
import os
import socket
import stat
import sys
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from ripenroom.private_file import LOCK_SUFFIX, real_path
from ripenroom.texts import tr

_LONGEST_TEXT: Final = 4096
_LOOK_AGAIN_S: Final = 0.05

if sys.platform == "win32":
    import msvcrt

    _HELD_BYTE = 1 << 30  # far behind the text, which others must be able to read

    def _take(descriptor: int) -> None:
        os.lseek(descriptor, _HELD_BYTE, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        os.lseek(descriptor, 0, os.SEEK_SET)
else:
    import fcntl

    def _take(descriptor: int) -> None:
        # flock, not lockf: it belongs to the open file, so a second opener in this very process
        # meets it too.
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


@dataclass(frozen=True, slots=True)
class Holder:
    """Who has a season open for changes."""

    pid: int
    host: str
    since: str  # ISO 8601, UTC

    @property
    def words(self) -> str:
        """Such as "process 4242 on barn-laptop since 2026-09-14 08:02 UTC"."""
        since = self.since[:16].replace("T", " ")
        return tr("process {pid} on {host} since {since} UTC").format(
            pid=self.pid, host=self.host, since=since
        )


class HeldElsewhere(Exception):  # noqa: N818 - an answer, not an error
    """Another window has the lock; ``holder`` is None where it cannot be known."""

    def __init__(self, holder: Holder | None) -> None:
        self.holder = holder
        super().__init__(holder.words if holder else tr("held elsewhere"))


class NotOurs(OSError):  # noqa: N818 - an answer, not an error
    """What lies where the lock belongs is a link, or nothing that ripenroom wrote."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            errno.EEXIST,
            tr("{file} is in the way and is not ripenroom's; move it").format(file=path.name),
            str(path),
        )


class WriterLock:
    """The lock of one season file, waited for up to ``wait_s`` seconds.

    Raises :class:`HeldElsewhere`, or ``OSError`` where there can be no lock. Nothing else is ever
    written to in its place: a link there is not followed, and a file that is not a lock of ours
    stays as it is (:class:`NotOurs`).
    """

    def __init__(self, season_path: Path, wait_s: float = 0.0) -> None:
        self._path = lock_path(season_path)
        until = time.monotonic() + wait_s
        while True:
            try:
                self._descriptor = self._taken()
                break
            except HeldElsewhere:
                left_s = until - time.monotonic()
                if left_s <= 0.0:
                    raise
                time.sleep(min(_LOOK_AGAIN_S, left_s))
        holder_text = json.dumps(
            {
                "pid": os.getpid(),
                "host": socket.gethostname(),
                "since": datetime.now(UTC).isoformat(timespec="seconds"),
            }
        )
        # Only a courtesy: on a full disk the lock holds without it.
        with contextlib.suppress(OSError):
            # What is empty already is not cut: ext4 writes a file that was cut to nothing out to
            # the disk as it is closed.
            if os.fstat(self._descriptor).st_size:
                os.ftruncate(self._descriptor, 0)
            if os.write(self._descriptor, holder_text.encode("ascii")) < len(holder_text):
                os.ftruncate(self._descriptor, 0)  # half of it would be no lock of ours

    def _taken(self) -> int:
        """The descriptor of the lock's file, which holds it."""
        while True:
            descriptor, made = _opened(self._path)
            try:
                _take(descriptor)
            except (BlockingIOError, PermissionError) as held:
                holder = _read_holder(descriptor)
                os.close(descriptor)
                raise HeldElsewhere(holder) from held
            except OSError:  # this file system knows no locks, so nobody else can hold it either
                os.close(descriptor)
                if made:
                    self._path.unlink(missing_ok=True)
                raise
            if _is_still(descriptor, self._path):
                return descriptor
            os.close(descriptor)  # its last holder took the file away between our two steps

    def release(self) -> None:
        """Give the lock up and take its file away."""
        if sys.platform == "win32":  # an open file cannot be deleted there
            os.close(self._descriptor)
            with contextlib.suppress(OSError):
                self._path.unlink()
            return
        with contextlib.suppress(OSError):  # the folder may be gone
            if _is_still(self._descriptor, self._path):
                self._path.unlink()
        os.close(self._descriptor)


def lock_path(season_path: Path) -> Path:
    """Where the lock of a season file lies; a link leads to the lock of what it links to."""
    real = real_path(season_path)
    return real.with_name(real.name + LOCK_SUFFIX)


def _opened(path: Path) -> tuple[int, bool]:
    """A descriptor of the lock's file, and whether it was made here; never of anything else."""
    flags = os.O_RDWR | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    while True:
        with contextlib.suppress(FileExistsError):
            return os.open(path, flags | os.O_CREAT | os.O_EXCL, 0o600), True
        try:
            if path.is_symlink():  # where the system knows no O_NOFOLLOW
                raise NotOurs(path)
            descriptor = os.open(path, flags)
        except FileNotFoundError:  # it was given up between our two steps
            continue
        except OSError as error:
            if path.is_file() and not path.is_symlink():
                raise
            raise NotOurs(path) from error
        if _is_a_lock(descriptor):
            return descriptor, False
        os.close(descriptor)
        raise NotOurs(path)


def _is_a_lock(descriptor: int) -> bool:
    """Whether a file is a lock of ours: small, of one name, and empty or with a holder in it.

    Empty, since a holder puts its name in after it has the lock; zeros are what a power cut leaves.
    """
    found = os.fstat(descriptor)
    if not stat.S_ISREG(found.st_mode) or found.st_nlink > 1 or found.st_size > _LONGEST_TEXT:
        return False
    text = os.read(descriptor, _LONGEST_TEXT)
    os.lseek(descriptor, 0, os.SEEK_SET)
    return not text.strip(b"\0") or _holder_in(text) is not None


def _is_still(descriptor: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(descriptor), path.lstat())
    except FileNotFoundError:
        return False


def _read_holder(descriptor: int) -> Holder | None:
    try:
        os.lseek(descriptor, 0, os.SEEK_SET)
        return _holder_in(os.read(descriptor, _LONGEST_TEXT))
    except OSError:
        return None


def _holder_in(text: bytes) -> Holder | None:
    """Whom a lock of ours names; None for what is none: other programs write their ``pid`` too."""
    try:
        facts = json.loads(text)
    except (ValueError, RecursionError):
        return None
    match facts:
        case {"pid": int(pid), "host": str(host), "since": str(since)} if len(facts) == 3:
            return Holder(pid, host, since)
    return None

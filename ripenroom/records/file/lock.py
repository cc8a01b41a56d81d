"""One writer at a time: a lock beside the season file, held while it is open for changes.

The lock is the system's own, on an open file: it ends with the process, however that ends, so a
lock file left by a crash locks nobody out. It lies beside the season file and not on it: on some
systems such a lock would keep SQLite itself out, and on others closing it would drop SQLite's.
SQLite's locks stay the truth for each single change; this one tells a second opener at once.
"""

import contextlib
import json
import os
import socket
import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

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
        return f"process {self.pid} on {self.host} since {since} UTC"


class HeldElsewhere(Exception):  # noqa: N818 - an answer, not an error
    """Another window has the lock; ``holder`` is None where it cannot be known."""

    def __init__(self, holder: Holder | None) -> None:
        self.holder = holder
        super().__init__(holder.words if holder else "held elsewhere")


class WriterLock:
    """The lock of one season file.

    Raises :class:`HeldElsewhere`, or ``OSError`` where there can be no lock.
    """

    def __init__(self, season_path: Path) -> None:
        self._path = lock_path(season_path)
        while True:
            descriptor = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600)
            try:
                _take(descriptor)
            except (BlockingIOError, PermissionError) as held:
                holder = _read_holder(descriptor)
                os.close(descriptor)
                raise HeldElsewhere(holder) from held
            except OSError:  # this file system knows no locks, so nobody else can hold it either
                os.close(descriptor)
                self._path.unlink(missing_ok=True)
                raise
            if _is_still(descriptor, self._path):
                break
            os.close(descriptor)  # its last holder took the file away between our two steps
        self._descriptor = descriptor
        holder_text = json.dumps(
            {
                "pid": os.getpid(),
                "host": socket.gethostname(),
                "since": datetime.now(UTC).isoformat(timespec="seconds"),
            }
        )
        # Only a courtesy: on a full disk the lock holds without it.
        with contextlib.suppress(OSError):
            os.ftruncate(descriptor, 0)
            os.write(descriptor, holder_text.encode("ascii"))

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
    real = season_path.resolve()
    return real.with_name(f"{real.name}.lock")


def _is_still(descriptor: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(descriptor), path.stat())
    except FileNotFoundError:
        return False


def _read_holder(descriptor: int) -> Holder | None:
    try:
        os.lseek(descriptor, 0, os.SEEK_SET)
        facts: dict[str, Any] = json.loads(os.read(descriptor, 4096))
        return Holder(int(facts["pid"]), str(facts["host"]), str(facts["since"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None

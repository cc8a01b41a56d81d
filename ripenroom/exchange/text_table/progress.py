"""How far a long reading has got, and a way to stop it."""

import threading
from collections.abc import Callable

ROWS_AT_A_TIME = 20_000
"""Rows between two looks at whether to go on."""


class Stopped(Exception):  # noqa: N818 - nothing went wrong
    """The reading was stopped; nothing of it remains."""


class ReadProgress:
    """Tells ``done`` of ``total`` steps to whoever waits, and raises :class:`Stopped` if asked."""

    def __init__(
        self,
        tell: Callable[[float], None] | None = None,
        cancel: threading.Event | None = None,
    ) -> None:
        """``tell`` takes the share done, from 0 to 1."""
        self._tell = tell
        self._cancel = cancel
        self._from, self._to = 0.0, 1.0

    def part(self, begin: float, end: float) -> None:
        """What is told next is this part of the whole."""
        self._from, self._to = begin, end

    def at(self, done: float, total: float) -> None:
        """So much of the part is done; raises :class:`Stopped` where it was cancelled."""
        if self._cancel is not None and self._cancel.is_set():
            raise Stopped
        if self._tell is not None:
            share = min(1.0, done / total) if total else 1.0
            self._tell(self._from + (self._to - self._from) * share)

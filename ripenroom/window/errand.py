"""A piece of work that goes on beside the window and can be called off."""

import sys
import threading
from collections.abc import Callable
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

_LOOK_IN_MS = 20

Result = TypeVar("Result")
Progress = Callable[[float], None]
"""Told by the work the share of it that is done."""


class _Work(Generic[Result]):
    """What a thread does and what came of it. The thread holds this and nothing of Qt, which is
    torn down in the window's thread alone."""

    def __init__(self, work: Callable[[threading.Event, Progress], Result]) -> None:
        self.result: Result | None = None
        self.error: Exception | None = None
        self.share = 0.0
        self.cancel = threading.Event()
        self.thread = threading.Thread(target=self._run, name="errand", daemon=True)
        self._work = work

    def _run(self) -> None:
        try:
            self.result = self._work(self.cancel, self._on_progress)
        except Exception as error:
            self.error = error

    def _on_progress(self, share: float) -> None:
        self.share = share


_left: list[_Work[Any]] = []
"""Work that nobody waits for and that has not ended yet, as far as was seen."""


def any_left() -> bool:
    """Whether work goes on that was left to itself."""
    _left[:] = [work for work in _left if work.thread.is_alive()]
    return bool(_left)


class Errand(QObject, Generic[Result]):
    """Runs one piece of work in a thread of its own.

    The work knows no Qt: it gets an event to heed and a way to tell how far it is, and the window
    looks in now and then. ``progressed`` (a share) and ``ended`` follow in the window's own thread,
    unless the errand was dropped. ``result`` is what the work returned, ``error`` what it raised.
    """

    progressed = Signal(float)
    ended = Signal()

    def __init__(
        self,
        work: Callable[[threading.Event, Progress], Result],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._work = _Work(work)
        self._told = 0.0
        self.dropped = False
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._look_in)

    def start(self) -> None:
        """Begin."""
        self._timer.start(_LOOK_IN_MS)
        self._work.thread.start()

    @property
    def result(self) -> Result | None:
        """What the work returned; None until then."""
        return self._work.result

    @property
    def error(self) -> Exception | None:
        """What the work raised."""
        return self._work.error

    @property
    def running(self) -> bool:
        """Whether the thread is still at it."""
        return self._work.thread.is_alive()

    @property
    def called_off(self) -> bool:
        """Whether the work was asked to end early."""
        return self._work.cancel.is_set()

    def call_off(self) -> None:
        """Ask the work to end with what it has; ``ended`` still follows."""
        self._work.cancel.set()

    def report_error(self) -> bool:
        """Hand what the work raised to the program's hook for the unexpected; whether it did."""
        if self.error is None:
            return False
        sys.excepthook(type(self.error), self.error, self.error.__traceback__)
        return True

    def drop(self) -> None:
        """Ask the work to end; no one wants to know what comes of it."""
        self.dropped = True
        self._work.cancel.set()
        self._timer.stop()

    def wait(self) -> None:
        """Drop the work and wait until its thread is gone."""
        self.drop()
        if self.running:
            self._work.thread.join()

    def leave(self) -> None:
        """Drop the work without waiting for it: it ends by itself, and nothing is lost by it."""
        self.drop()
        if self.running:
            _left.append(self._work)

    def _look_in(self) -> None:
        if self._work.share != self._told:
            self._told = self._work.share
            self.progressed.emit(self._told)
        if not self.dropped and not self.running:
            self._timer.stop()
            self.ended.emit()

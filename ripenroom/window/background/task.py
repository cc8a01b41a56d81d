"""Work that goes on beside the window and can be called off: a piece, or the latest of its kind."""

import sys
import threading
from collections.abc import Callable
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

_LOOK_IN_MS = 20

Result = TypeVar("Result")
Progress = Callable[[float], None]
"""Told by the work the share of it that is done."""
Work = Callable[[threading.Event, Progress], Result]
"""What is done: it knows no Qt, heeds an event that calls it off and tells how far it is."""


class _Running(Generic[Result]):
    """What a thread does and what came of it. The thread holds this and nothing of Qt, which is
    torn down in the window's thread alone."""

    def __init__(self, work: Work[Result]) -> None:
        self.result: Result | None = None
        self.error: Exception | None = None
        self.share = 0.0
        self.cancel = threading.Event()
        self.thread = threading.Thread(target=self._run, name="background task", daemon=True)
        self._work: Work[Result] | None = work
        self._forgotten = False
        self._lock = threading.Lock()

    def forget(self) -> None:
        """End soon; what comes of it, and what it was worked out of, is let go of."""
        self.cancel.set()
        with self._lock:
            self._forgotten = True
            self.result = None

    def _run(self) -> None:
        work, self._work = self._work, None
        assert work is not None
        try:
            result = work(self.cancel, self._on_progress)
        except Exception as error:
            if not self._forgotten:
                self.error = error
            return
        with self._lock:
            if not self._forgotten:
                self.result = result

    def _on_progress(self, share: float) -> None:
        self.share = share


_left: list[_Running[Any]] = []
"""Work that nobody waits for and that has not ended yet, as far as was seen."""


def any_left() -> bool:
    """Whether work goes on that was left to itself."""
    _left[:] = [work for work in _left if work.thread.is_alive()]
    return bool(_left)


class BackgroundTask(QObject, Generic[Result]):
    """Runs one piece of work in a thread of its own.

    The window looks in now and then. ``progressed`` (a share) and ``ended`` follow in the window's
    own thread, unless the task was dropped. ``result`` is what the work returned, ``error`` what it
    raised; of a dropped task neither is kept. ``over`` follows ``ended`` or the drop, whichever
    comes first.
    """

    progressed = Signal(float)
    ended = Signal()
    over = Signal(object)

    def __init__(self, work: Work[Result], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._running = _Running(work)
        self._told = 0.0
        self.dropped = False
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._look_in)

    def start(self) -> None:
        """Begin."""
        self._timer.start(_LOOK_IN_MS)
        self._running.thread.start()

    @property
    def result(self) -> Result | None:
        """What the work returned; None until then."""
        return self._running.result

    @property
    def error(self) -> Exception | None:
        """What the work raised."""
        return self._running.error

    @property
    def running(self) -> bool:
        """Whether the thread is still at it."""
        return self._running.thread.is_alive()

    @property
    def called_off(self) -> bool:
        """Whether the work was asked to end early."""
        return self._running.cancel.is_set()

    def call_off(self) -> None:
        """Ask the work to end with what it has; ``ended`` still follows."""
        self._running.cancel.set()

    def report_error(self) -> bool:
        """Hand what the work raised to the program's hook for the unexpected; whether it did."""
        if self.error is None:
            return False
        sys.excepthook(type(self.error), self.error, self.error.__traceback__)
        return True

    def drop(self) -> None:
        """Ask the work to end; no one wants to know what comes of it."""
        if self.dropped:
            return
        self.dropped = True
        self._running.forget()
        self._timer.stop()
        self.over.emit(self)

    def wait(self) -> None:
        """Drop the work and wait until its thread is gone."""
        self.drop()
        if self.running:
            self._running.thread.join()

    def leave(self) -> None:
        """Drop the work without waiting for it: it ends by itself, and nothing is lost by it."""
        self.drop()
        if self.running:
            _left.append(self._running)

    def _look_in(self) -> None:
        if self._running.share != self._told:
            self._told = self._running.share
            self.progressed.emit(self._told)
        if not self.dropped and not self.running:
            self._timer.stop()
            self.ended.emit()
            if not self.dropped:
                self.over.emit(self)


class Tasks(QObject):
    """Runs background tasks, and lets go of each as soon as it has ended or was dropped.

    When the season is closed all are called off and left to themselves; what is done
    ``to_its_end``, such as writing a file, is waited for.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._tasks: list[BackgroundTask[Any]] = []
        self._to_their_end: list[BackgroundTask[Any]] = []

    def run(self, work: Work[Result], *, to_its_end: bool = False) -> BackgroundTask[Result]:
        """Begin a piece of work."""
        task = BackgroundTask(work, self)
        task.over.connect(self._let_go)
        (self._to_their_end if to_its_end else self._tasks).append(task)
        task.start()
        return task

    def close(self) -> None:
        """Call all off at once, and wait only for what has to come to its end."""
        waited_for, left = list(self._to_their_end), list(self._tasks)
        for task in (*left, *waited_for):
            task.drop()  # all at once, so that none is waited for while others go on
        for task in left:
            task.leave()
        for task in waited_for:
            task.wait()

    def _let_go(self, task: BackgroundTask[Any]) -> None:
        for kept in (self._tasks, self._to_their_end):
            if task in kept:
                kept.remove(task)
        # It is there until all who were told that it ended have looked at it: Qt deletes it later.
        task.deleteLater()


class Latest(QObject, Generic[Result]):
    """Worked out of the season as it is now, never twice at once.

    An edit drops what is under way, and the next one begins when nothing was edited for
    ``pause_ms`` and the thread of the last has ended. ``working_changed`` follows whenever work
    begins or ends or has failed. Nothing is done before :meth:`begin`.
    """

    working_changed = Signal()

    def __init__(self, tasks: Tasks, pause_ms: int, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.working = False
        self._tasks = tasks
        self._begun = False
        self._task: BackgroundTask[Result] | None = None
        self._ending: BackgroundTask[Result] | None = None
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(pause_ms)
        self._pause.timeout.connect(self._start)

    def again(self) -> None:
        """Work it out again, dropping what was begun before."""
        if self._task is not None:
            self._ending, self._task = self._task, None
            self._ending.drop()
        self._pause.start()
        self._set_working(True)

    def close(self) -> None:
        """Begin nothing any more; what goes on is left to itself."""
        self._begun = False
        self._pause.stop()
        if self._task is not None:
            self._task.leave()
        self._task = self._ending = None
        self.working = False

    def _work(self) -> Work[Result]:
        """What to do for the season as it is now."""
        raise NotImplementedError

    def _take(self, task: BackgroundTask[Result]) -> None:
        """Look at what came of a task; ``working`` is over once this is done."""
        raise NotImplementedError

    def _must_wait(self) -> bool:
        """Whether it cannot begin yet."""
        return self._ending is not None and self._ending.running

    def _start(self) -> None:
        if self._must_wait():
            self._pause.start()
            return
        self._ending = None
        self._task = self._tasks.run(self._work())
        self._task.ended.connect(self._on_ended)

    def _on_ended(self) -> None:
        task, self._task = self._task, None
        if task is not None:
            self._take(task)

    def _set_working(self, working: bool) -> None:
        self.working = working
        self.working_changed.emit()

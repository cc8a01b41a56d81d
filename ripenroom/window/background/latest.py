"""What is worked out again after changes of a season: the plan, and what checks taught."""

from typing import Generic

from PySide6.QtCore import QObject, QTimer, Signal

from ripenroom.window.background.task import BackgroundTask, Result, Tasks, Work


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

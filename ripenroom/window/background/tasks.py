"""The one runner of what is worked out beside the window for an open season."""

from typing import Any

from PySide6.QtCore import QObject

from ripenroom.window.background.task import BackgroundTask, Result, Work


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

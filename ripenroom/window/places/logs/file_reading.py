"""Reads a logger's file beside the window, again and again as it is corrected."""

from collections.abc import Callable
from pathlib import Path
from threading import Event

from PySide6.QtCore import QObject, Signal

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import Corrections, Understanding
from ripenroom.exchange.text_table.progress import ReadProgress
from ripenroom.exchange.text_table.source import TableSource, load
from ripenroom.records.refusal import Refusal
from ripenroom.window.background.task import BackgroundTask

_LOADED = 0.4
"""Share of the whole that loading a file's lines takes, roughly."""


class FileReading(QObject):
    """Loads a file once and reads it by the latest corrections.

    ``progressed`` carries the share done. ``understood`` carries an :class:`Understanding`,
    ``refused`` a :class:`Refusal`; exactly one of them follows the latest call of :meth:`read`.
    """

    progressed = Signal(float)
    understood = Signal(object)
    refused = Signal(object)

    def __init__(self, path: Path, home: Home, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path = path
        self._home = home
        self._loaded: list[TableSource] = []
        self._task: BackgroundTask[Understanding] | None = None

    @property
    def working(self) -> bool:
        """Whether an answer is still to come."""
        return self._task is not None

    def read(self, corrections: Corrections) -> None:
        """Read the file so corrected; what was under way is dropped."""
        self.stop()
        loaded, path, home = self._loaded, self._path, self._home

        def work(cancel: Event, tell: Callable[[float], None]) -> Understanding:
            progress = ReadProgress(tell, cancel)
            if not loaded:
                progress.part(0.0, _LOADED)
                loaded.append(load(path, progress))
                progress.part(_LOADED, 1.0)
            return read(loaded[0], home, corrections, progress)

        self._task = BackgroundTask(work, self)
        self._task.progressed.connect(self.progressed)
        self._task.ended.connect(self._take)
        self._task.start()

    def stop(self) -> None:
        """Drop what is under way, and wait until its thread is gone."""
        task, self._task = self._task, None
        if task is not None:
            task.wait()
            task.deleteLater()

    def _take(self) -> None:
        task, self._task = self._task, None
        assert task is not None
        task.deleteLater()
        if task.result is not None:
            self.understood.emit(task.result)
        elif isinstance(task.error, Refusal):
            self.refused.emit(task.error)
        elif task.report_error():
            self.refused.emit(
                Refusal("file", "{file} cannot be read. Nothing is lost.", file=self._path.name)
            )

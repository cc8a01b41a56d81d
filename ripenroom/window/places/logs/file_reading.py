"""Reads a logger's file beside the window, again and again as it is corrected."""

from collections.abc import Callable
from pathlib import Path
from threading import Event

from PySide6.QtCore import QObject, Signal

from ripenroom.exchange.logger_file import (
    Corrections,
    Home,
    Progress,
    Source,
    Understanding,
    load,
    read,
)
from ripenroom.records.refusal import Refusal
from ripenroom.window.errand import Errand

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
        self._loaded: list[Source] = []
        self._errand: Errand[Understanding] | None = None

    @property
    def working(self) -> bool:
        """Whether an answer is still to come."""
        return self._errand is not None

    def read(self, corrections: Corrections) -> None:
        """Read the file so corrected; what was under way is dropped."""
        self.stop()
        loaded, path, home = self._loaded, self._path, self._home

        def work(cancel: Event, tell: Callable[[float], None]) -> Understanding:
            progress = Progress(tell, cancel)
            if not loaded:
                progress.part(0.0, _LOADED)
                loaded.append(load(path, progress))
                progress.part(_LOADED, 1.0)
            return read(loaded[0], home, corrections, progress)

        self._errand = Errand(work, self)
        self._errand.progressed.connect(self.progressed)
        self._errand.ended.connect(self._take)
        self._errand.start()

    def stop(self) -> None:
        """Drop what is under way, and wait until its thread is gone."""
        errand, self._errand = self._errand, None
        if errand is not None:
            errand.wait()
            errand.deleteLater()

    def _take(self) -> None:
        errand, self._errand = self._errand, None
        assert errand is not None
        errand.deleteLater()
        if errand.result is not None:
            self.understood.emit(errand.result)
        elif isinstance(errand.error, Refusal):
            self.refused.emit(errand.error)
        elif errand.report_error():
            self.refused.emit(
                Refusal("file", "{file} cannot be read. Nothing is lost.", file=self._path.name)
            )

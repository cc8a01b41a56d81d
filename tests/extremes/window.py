"""``python -m tests.extremes.window [BATCHES ...]``: how long the window stands still at most.

A season of so many batches is opened, offscreen, and each page is gone to once. A stall is the time
between two looks at the window's events; beside it stands how much of it the window's thread worked
itself, which is what counts on a busy machine.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication

from ripenroom.records.file import SeasonFile
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.menus import Appearance
from ripenroom.window.shell.page_stack import PAGES
from tests.benchmarks.seasons import large_book

_LOOK_MS = 2


class Stalls:
    """The longest time between two events, and the most work in such a time, in seconds."""

    def __init__(self) -> None:
        self._timer = QTimer()
        self._timer.timeout.connect(self._look)
        self._timer.start(_LOOK_MS)
        self.begin()

    def begin(self) -> None:
        """Count anew."""
        self.longest = self.most_work = 0.0
        self._seen, self._worked = time.perf_counter(), time.thread_time()

    def _look(self) -> None:
        now, worked = time.perf_counter(), time.thread_time()
        self.longest = max(self.longest, now - self._seen)
        self.most_work = max(self.most_work, worked - self._worked)
        self._seen, self._worked = now, worked


def wait(milliseconds: int) -> None:
    """Let the window live for so long."""
    end = time.perf_counter() + milliseconds / 1000.0
    while time.perf_counter() < end:
        QApplication.processEvents()
        time.sleep(0.001)


def main(arguments: list[str]) -> int:
    """Measure seasons of so many batches."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    print(f"{'batches':>8}  {'':<14}{'stall, ms':>10}{'work, ms':>10}")
    for batches in map(int, arguments or ["2000"]):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "large.ripenroom"
            book = large_book(batches)
            SeasonFile.create(path, book.season, book.records()).close()
            settings = QSettings(str(Path(folder) / "window.ini"), QSettings.Format.IniFormat)
            window = MainWindow(settings, Appearance(app, settings))
            window.show()
            stalls = Stalls()
            wait(100)

            def say(what: str, batches: int = batches, stalls: Stalls = stalls) -> None:
                wait(300)
                ms, work_ms = 1000.0 * stalls.longest, 1000.0 * stalls.most_work
                print(f"{batches:>8}  {what:<14}{ms:>10.0f}{work_ms:>10.0f}", flush=True)
                stalls.begin()

            stalls.begin()
            window.open_path(path)
            say("opening")
            assert window.desk is not None
            for page in PAGES:
                window.desk.go_to(page)
                say(page)
            window.close()
            say("closing")
    return 0


if __name__ == "__main__":
    code = main(sys.argv[1:])
    sys.stdout.flush()
    os._exit(code)

"""Starts the window."""

import gc
import os
import sys
from pathlib import Path
from typing import NoReturn

from PySide6.QtCore import QObject, QSettings, QTimer
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

from ripenroom.paths import resource
from ripenroom.window.background.task import any_left
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.language import language_of_window, speak
from ripenroom.window.shell.menus import Appearance

_LOOK_EVERY_MS = 200


BAD_USE, DAMAGED_OR_FOREIGN = 2, 3
"""Exit codes where the season that was named could not be opened."""


def run_window(path: Path | None, demo: bool = False) -> int:
    """Show the window until it is closed; returns the program's exit code.

    Opens the season file at ``path``, or the practice season with ``demo``, or else the season
    that was open last. A file that cannot be opened is said in the window and on the error output.
    """
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    app.setApplicationName("ripenroom")
    app.setDesktopFileName("ripenroom")  # by which Wayland finds name and icon in the menu
    app.setWindowIcon(QIcon(str(resource("desktop", "ripenroom.svg"))))
    settings = QSettings(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, "ripenroom", "window"
    )
    speak(app, language_of_window(settings))
    window = MainWindow(settings, Appearance(app, settings))
    named = path is not None or demo
    tried = path
    if demo:
        window.open_practice()
    elif path is None:
        tried = next(iter(window.recent.paths()), None)
    if tried is not None:
        window.open_path(tried)
    refused = window.problem if named else None
    if refused is not None:
        print(f"ripenroom: {refused}", file=sys.stderr)
    window.show()
    if window.problem is not None and tried is not None:
        QTimer.singleShot(0, lambda: window.offer_ways_on(tried))
    garbage = Garbage()
    code = app.exec()
    if not code and refused is not None:
        code = DAMAGED_OR_FOREIGN if refused.file_at_fault else BAD_USE
    if any_left():
        _end_at_once(code)
    garbage.stop()
    return code


def _end_at_once(code: int) -> NoReturn:
    """End the program where work goes on that nobody wants any more.

    All is saved by then. Python would wait for some of its threads, and pull down others amid
    the solver's own code, which can crash.
    """
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


class Garbage(QObject):
    """Looks for objects that hold only each other by a timer, about as often as Python itself would
    have, from when it is made until :meth:`stop`.

    Python looks in whichever thread happens to ask for memory. Where that is the thread of a piece
    of work, a closed dialog and its timers would be torn down there, which Qt answers with a crash.
    """

    def __init__(self) -> None:
        super().__init__()
        gc.disable()
        self._timer = QTimer(self)
        self._timer.timeout.connect(_collect)
        self._timer.start(_LOOK_EVERY_MS)

    def stop(self) -> None:
        """Leave it to Python again."""
        self._timer.stop()
        gc.enable()


def _collect() -> None:
    """Collect the oldest generation that is due, which takes the younger ones with it."""
    due = [
        generation
        for generation, (count, most) in enumerate(
            zip(gc.get_count(), gc.get_threshold(), strict=True)
        )
        if count > most
    ]
    if due:
        gc.collect(due[-1])

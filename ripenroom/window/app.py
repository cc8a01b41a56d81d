"""Starts the window."""

import sys
from pathlib import Path

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.appearance import Appearance

DAMAGED_OR_FOREIGN = 3
"""Exit code where the season that was named could not be opened."""


def run_window(path: Path | None, demo: bool = False) -> int:
    """Show the window until it is closed; returns the program's exit code.

    Opens the season file at ``path``, or the practice season with ``demo``, or else the season
    that was open last. A file that cannot be opened is said in the window and on the error output.
    """
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    app.setApplicationName("ripenroom")
    settings = QSettings(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, "ripenroom", "window"
    )
    window = MainWindow(settings, Appearance(app, settings))
    opened = True
    if path is not None:
        opened = window.open_path(path)
    elif demo:
        opened = window.open_practice()
    elif window.recent.paths():
        window.open_path(window.recent.paths()[0])
    if not opened:
        print(window.voice.text, file=sys.stderr)
    window.show()
    code = app.exec()
    return code if opened else code or DAMAGED_OR_FOREIGN

"""What whole processes take, and the programs that are started for that."""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from ripenroom.bootstrap.environment import ROOT

PYTHON = sys.executable

EMPTY_WINDOW = """
from PySide6.QtWidgets import QApplication, QWidget
app = QApplication([])
window = QWidget()
window.resize(1366, 850)
window.show()
app.processEvents()
window.grab()
"""
"""An empty window, painted."""

PAINTED = """
import sys
from ripenroom.cli.command import main
def painted():
    from PySide6.QtWidgets import QApplication
    for window in QApplication.topLevelWidgets():
        if window.isVisible():
            window.grab()
    QApplication.processEvents()
    return 0
class Painted:
    def find_spec(self, name, path=None, target=None):
        if name == "ripenroom.window.app":
            from PySide6.QtWidgets import QApplication
            QApplication.exec = staticmethod(painted)
sys.meta_path.insert(0, Painted())
sys.exit(main(["--demo"]))
"""
"""What ``ripenroom --demo`` does, ended once its window is painted."""


class Cost(NamedTuple):
    """Processor time of a process and of what it started, in ms, and its largest memory in MB."""

    ms: float
    mb: float


def environment_in(folder: Path | str) -> dict[str, str]:
    """The environment of a program without a screen, whose home is a folder."""
    found = os.environ | {
        "QT_QPA_PLATFORM": "offscreen",
        "OPENBLAS_NUM_THREADS": "1",
        "XDG_CONFIG_HOME": str(folder),
        "XDG_DATA_HOME": str(folder),
        "HOME": str(folder),
        "PYTHONPATH": str(ROOT),
    }
    # Installed programs have compiled bytecode; without it imports cost three times as much.
    found.pop("PYTHONDONTWRITEBYTECODE", None)
    return found


_WAITER = """
import os, sys
pid = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ)
_, status, used = os.wait4(pid, 0)
print(used.ru_utime + used.ru_stime, used.ru_maxrss, file=sys.stderr)
sys.exit(os.waitstatus_to_exitcode(status))
"""
"""Starts a process from a small one: on Linux the memory of what starts it counts as its own."""


def cost(command: Sequence[str], environment: Mapping[str, str]) -> Cost:
    """What a command takes, which must end well."""
    done = subprocess.run(
        [PYTHON, "-S", "-c", _WAITER, *command],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        check=True,
    )
    seconds, memory = map(float, done.stderr.splitlines()[-1].split())
    kilobyte = 1e3 if sys.platform == "darwin" else 1.0  # there it is counted in bytes
    return Cost(seconds * 1e3, memory / kilobyte / 1e3)

"""What the program takes beside a bare Qt window: processor time, memory, room on the disk.

Whole processes, taken in turn, each told beside bare Qt in the same turn.
"""

import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from importlib.metadata import distribution
from typing import Final, NamedTuple

from ripenroom.bootstrap.bundle import megabytes
from ripenroom.bootstrap.lock import LOCK, ROOT, requirements
from tests.benchmarks.starting import PAINTED
from tests.benchmarks.timing import say

RUNS = 5

_PAINTED = """
app = QApplication([])
window = QWidget()
window.resize(1366, 850)
window.show()
app.processEvents()
window.grab()
"""

BARE_QT = "from PySide6.QtWidgets import QApplication, QWidget" + _PAINTED
BARE_IMPORTS = "import numpy, pyqtgraph\n" + BARE_QT

_PYTHON = sys.executable
PROCESSES: Final[dict[str, Sequence[str]]] = {
    "bare Qt: an empty window painted": (_PYTHON, "-c", BARE_QT),
    "the same with numpy and pyqtgraph imported": (_PYTHON, "-c", BARE_IMPORTS),
    "the practice season painted": (_PYTHON, "-c", PAINTED),
    "ripenroom --help": (_PYTHON, "-m", "ripenroom", "--help"),
    "Python alone": (_PYTHON, "-c", ""),
}

_NOT_RUN = {"hatchling", "packaging", "pathspec", "pluggy", "trove-classifiers"}
"""What the lock holds to build the program with."""


class Cost(NamedTuple):
    """Processor time of a process and of what it started, in ms, and its largest memory in MB."""

    ms: float
    mb: float


def run() -> None:
    """Print the figures, each with its ratio to bare Qt in the same turn."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {
            "QT_QPA_PLATFORM": "offscreen",
            "XDG_CONFIG_HOME": folder,
            "XDG_DATA_HOME": folder,
            "HOME": folder,
            "PYTHONPATH": str(ROOT),
        }
        # Installed programs have compiled bytecode; without it imports cost three times as much.
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        turns = [_turn(environment) for _ in range(RUNS + 1)][1:]  # the first one compiles
    bare = next(iter(PROCESSES))
    for name in PROCESSES:
        ms, mb = (statistics.median(t[name][n] for t in turns) for n in (0, 1))
        times, larger = (statistics.median(t[name][n] / t[bare][n] for t in turns) for n in (0, 1))
        say(name, f"{ms:.0f} ms  {times:.2f}   {mb:.0f} MB  {larger:.2f}")
    qt = _installed("PySide6-Essentials") + _installed("shiboken6")
    names = {line.partition("==")[0] for line in _pins()} - _NOT_RUN
    ours = sum(_installed(name) for name in names) + megabytes(ROOT / "resources")
    say("bare Qt on disk, as pip installs it", f"{qt:.0f} MB")
    say("all that the program needs, without Python", f"{ours:.0f} MB  {ours / qt:.2f}")
    bundle = ROOT / "dist" / "ripenroom"
    if bundle.is_dir():
        inside = bundle / "_internal"
        part = megabytes(inside / "PySide6") + megabytes(inside / "shiboken6")
        whole = megabytes(bundle)
        say("Qt's part of the bundle", f"{part:.0f} MB")
        say("the bundle, with Python", f"{whole:.0f} MB  {whole / part:.2f}")


def _turn(environment: dict[str, str]) -> dict[str, Cost]:
    return {name: _cost(command, environment) for name, command in PROCESSES.items()}


_WAITER = """
import os, sys
pid = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ)
_, status, used = os.wait4(pid, 0)
print(used.ru_utime + used.ru_stime, used.ru_maxrss, file=sys.stderr)
sys.exit(os.waitstatus_to_exitcode(status))
"""
"""Starts a process from a small one: on Linux the memory of what starts it counts as its own."""


def _cost(command: Sequence[str], environment: dict[str, str]) -> Cost:
    done = subprocess.run(
        [_PYTHON, "-S", "-c", _WAITER, *command],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        check=True,
    )
    seconds, memory = map(float, done.stderr.splitlines()[-1].split())
    kilobyte = 1e3 if sys.platform == "darwin" else 1.0  # there it is counted in bytes
    return Cost(seconds * 1e3, memory / kilobyte / 1e3)


def _pins() -> list[str]:
    lines = requirements(LOCK.read_text("utf-8"), "run").splitlines()
    return [line for line in lines if "==" in line and "win32" not in line]


def _installed(name: str) -> float:
    """Room that a package takes, in MB; of compiled modules, what pip itself brings alone."""
    try:
        files = distribution(name).files or []
    except ModuleNotFoundError:
        return 0.0
    return sum(file.size or 0 for file in files) / 1e6

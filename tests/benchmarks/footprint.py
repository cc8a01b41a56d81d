"""What the program takes beside a bare Qt window: processor time, memory, room on the disk.

Whole processes, taken in turn, each told beside bare Qt in the same turn.
"""

import statistics
import tempfile
from collections.abc import Sequence
from importlib.metadata import distribution
from typing import Final

from ripenroom.bootstrap.bundle import megabytes
from ripenroom.bootstrap.environment import LOCK, ROOT, requirements
from tests.benchmarks.processes import (
    EMPTY_WINDOW,
    PAINTED,
    PYTHON,
    Cost,
    cost,
    environment_in,
)
from tests.benchmarks.timing import say

RUNS = 5

BARE_IMPORTS = "import numpy, pyqtgraph\n" + EMPTY_WINDOW

PROCESSES: Final[dict[str, Sequence[str]]] = {
    "bare Qt: an empty window painted": (PYTHON, "-c", EMPTY_WINDOW),
    "the same with numpy and pyqtgraph imported": (PYTHON, "-c", BARE_IMPORTS),
    "the practice season painted": (PYTHON, "-c", PAINTED),
    "ripenroom --help": (PYTHON, "-m", "ripenroom", "--help"),
    "Python alone": (PYTHON, "-c", ""),
}

_NOT_RUN = {"hatchling", "packaging", "pathspec", "pluggy", "trove-classifiers"}
"""What the lock holds to build the program with."""


def run() -> None:
    """Print the figures, each with its ratio to bare Qt in the same turn."""
    with tempfile.TemporaryDirectory() as folder:
        environment = environment_in(folder)
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
    return {name: cost(command, environment) for name, command in PROCESSES.items()}


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

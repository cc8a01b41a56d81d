"""From process start to the painted practice season, against a bare window of the same imports."""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.benchmarks.timing import say

RUNS = 7

BARE = """
import numpy, pyqtgraph
from PySide6.QtWidgets import QApplication, QWidget
app = QApplication([])
window = QWidget()
window.resize(1366, 850)
window.show()
app.processEvents()
window.grab()
"""

OURS = """
import sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
from ripenroom.window import app as program
QApplication.exec = staticmethod(lambda: paint())
def paint():
    for window in QApplication.topLevelWidgets():
        if window.isVisible():
            window.grab()
    QApplication.processEvents()
    return 0
sys.exit(program.run_window(None, demo=True))
"""


def run() -> None:
    """Print the figures; whole processes, taken in turn."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {
            "QT_QPA_PLATFORM": "offscreen",
            "XDG_CONFIG_HOME": folder,
            "XDG_DATA_HOME": folder,
            "HOME": folder,
        }
        # Installed programs have compiled bytecode; without it imports cost three times as much.
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        environment["PYTHONPATH"] = str(Path(__file__).resolve().parents[2])
        bare, ours = [], []
        for number in range(RUNS + 1):
            pair = _whole_process_ms(BARE, environment), _whole_process_ms(OURS, environment)
            if number:
                bare.append(pair[0])
                ours.append(pair[1])
    say("bare imports and an empty window", f"{statistics.median(bare):.0f} ms")
    say("practice season painted", f"{statistics.median(ours):.0f} ms")
    ratio = statistics.median(o / b for o, b in zip(ours, bare, strict=True))
    say("  ratio (aim: at most 1.5)", f"{ratio:.2f}")


def _whole_process_ms(program: str, environment: dict[str, str]) -> float:
    begin = time.perf_counter()
    subprocess.run([sys.executable, "-c", program], env=environment, check=True)
    return (time.perf_counter() - begin) * 1000.0

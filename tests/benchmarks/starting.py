"""From process start to the painted practice season, against a bare window of the same imports;
and of commands, against what they cannot do without. In time of the processor."""

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.timing import say

RUNS = 7

BARE_WINDOW = """
import numpy, pyqtgraph, scipy.special
from PySide6.QtWidgets import QApplication, QWidget
app = QApplication([])
window = QWidget()
window.resize(1366, 850)
window.show()
app.processEvents()
window.grab()
"""

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

PAIRS = (
    ("practice season painted", PAINTED, "an empty window", BARE_WINDOW, 1.5),
    ("ripenroom --help", ("-m", "ripenroom", "--help"), "bare Python", "pass", 3.0),
    (
        "ripenroom windows",
        ("-m", "ripenroom", "windows", "SEASON"),
        "numpy, scipy.special, pandas, sqlite3",
        "import numpy, scipy.special, pandas, sqlite3",
        1.5,
    ),
)
"""What is measured, against what, and the most that it should take of that."""


def run() -> None:
    """Print the figures; whole processes, taken in turn."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {
            "QT_QPA_PLATFORM": "offscreen",
            "OPENBLAS_NUM_THREADS": "1",
            "XDG_CONFIG_HOME": folder,
            "XDG_DATA_HOME": folder,
            "HOME": folder,
        }
        # Installed programs have compiled bytecode; without it imports cost three times as much.
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        environment["PYTHONPATH"] = str(Path(__file__).resolve().parents[2])
        season = str(Path(folder) / "practice.ripenroom")
        of_processor_ms(("-m", "ripenroom", "demo", season), environment)
        for what, program, beside, bare, most in PAIRS:
            ours, bares = [], []
            for number in range(RUNS + 1):
                pair = [of_processor_ms(each, environment, season) for each in (program, bare)]
                if number:
                    ours.append(pair[0])
                    bares.append(pair[1])
            say(beside, f"{statistics.median(bares):.0f} ms")
            say(what, f"{statistics.median(ours):.0f} ms")
            ratio = statistics.median(o / b for o, b in zip(ours, bares, strict=True))
            say(f"  ratio (aim: at most {most})", f"{ratio:.2f}")


def of_processor_ms(
    program: str | tuple[str, ...], environment: dict[str, str], season: str = ""
) -> float:
    """Milliseconds of the processor of a whole process: a program's text, or its arguments."""
    given = ("-c", program) if isinstance(program, str) else program
    arguments = [season if each == "SEASON" else each for each in given]
    process = subprocess.Popen(
        [sys.executable, *arguments], env=environment, stdout=subprocess.DEVNULL
    )
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, f"{program} ended with {process.returncode}"
    return (used.ru_utime + used.ru_stime) * 1000.0

"""From process start to the painted practice season, against a bare window of the same imports;
and of commands, against what they cannot do without. In time of the processor."""

import statistics
import tempfile
from pathlib import Path

from tests.benchmarks.processes import EMPTY_WINDOW, PAINTED, PYTHON, cost, environment_in
from tests.benchmarks.timing import say

RUNS = 7

BARE_WINDOW = "import numpy, pyqtgraph, scipy.special\n" + EMPTY_WINDOW

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
        environment = environment_in(folder)
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
    return cost([PYTHON, *arguments], environment).ms

"""What a season costs as it grows: each of a few things at a few sizes, with its exponent.

``python -m tests.benchmarks growth``. Each size is measured in a process of its own, so that peaks
of memory are its own; a season holds 3,000 batches at most (``ripenroom/records/counts.py``).
"""

import json
import math
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.file import SeasonFile
from ripenroom.season import actions
from ripenroom.season.learning.fit import fit
from ripenroom.season.plans.planner import Planner
from ripenroom.season.projection import Projection
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from ripenroom.window.queue.page import QueueStrip
from ripenroom.window.session import Session
from ripenroom.window.theme import Look, dress
from tests.benchmarks.learning import checked_book
from tests.benchmarks.market_seasons import market_book
from tests.benchmarks.timing import median_ms, say

SIZES = (100, 300, 1_000, 3_000)
MARKET_DAYS = 40
_KIB_PER_MB = 1_000_000 / (1 if sys.platform == "darwin" else 1024)


def run() -> None:
    """Print each figure at each size, and by which power of the size it grows."""
    found = []
    for batches in SIZES:
        program = [sys.executable, "-m", "tests.benchmarks.growth", str(batches)]
        done = subprocess.run(program, check=True, capture_output=True, text=True)
        found.append(json.loads(done.stdout.splitlines()[-1]))
    say("batches", "  ".join(f"{size:,}" for size in SIZES) + "  exponent")
    decades = math.log(SIZES[-1] / SIZES[0])
    for what in found[0]:
        each = [one[what] for one in found]
        exponent = math.log(each[-1] / each[0]) / decades
        say(f"  {what}", "  ".join(f"{figure:.0f}" for figure in each) + f"  {exponent:.2f}")


def measured(batches: int) -> dict[str, float]:
    """Milliseconds of the processor of each thing, and megabytes."""
    book = market_book(batches, MARKET_DAYS, 1)
    found: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.ripenroom"
        SeasonFile.create(path, book.season, book.records()).close()
        found["open, ms"] = median_ms(lambda _: Season.open(path).close(), 3)
        season = Season.open(path)
        found["all dates, ms"] = _once_ms(season.projection)
        one = next(iter(season.book.batches.values()))
        place_id = next(key for key, p in book.places.items() if p.kind == "ripening room")

        def write(number: int) -> None:
            season.do(actions.batches.change, replace(one, note=f"Looked at {number} times"))

        found["write a change of a batch, ms"] = median_ms(write, 5)
        app = QApplication.instance() or QApplication([])
        assert isinstance(app, QApplication)
        dress(app, Look.LIGHT)
        settings = QSettings(str(Path(folder) / "window.ini"), QSettings.Format.IniFormat)
        session = Session(season, settings)
        strip = QueueStrip(session)
        strip.resize(1366, 600)
        strip.refresh()
        strip.show()
        app.processEvents()
        found["a set point dragged, to the painted queue, ms"] = median_ms(
            lambda step: _paint(
                strip, season.preview_set_point(place_id, float(step), strip.in_sight())
            ),
            5,
        )
        strip.close()
        session.close()
    found["memory until then, MB"] = _peak_mb()
    checked = checked_book(batches)
    crops, zone = shipped_profiles(), ZoneInfo(book.season.zone)
    now = book.season.practice_now
    assert now is not None
    found["learn of 3 checks each, ms"] = _once_ms(
        lambda: fit(SeasonState(checked, crops, now, zone))
    )
    state = SeasonState(book, crops, now, zone)
    found[f"plan of {MARKET_DAYS} market days, ms"] = _once_ms(lambda: Planner(state).plan())
    found["memory with both, MB"] = _peak_mb()
    return found


def _paint(strip: QueueStrip, shown: Projection) -> None:
    strip.setProjection(shown)
    QApplication.processEvents()


def _once_ms(job: Callable[[], object]) -> float:
    begin = time.process_time()
    job()
    return (time.process_time() - begin) * 1000.0


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / _KIB_PER_MB


if __name__ == "__main__":
    print(json.dumps(measured(int(sys.argv[1]))))

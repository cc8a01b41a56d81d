"""Dragging a set point with 2,000 batches: from the new value to the painted queue."""

import os
import statistics
import tempfile
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from ripenroom.records.file import SeasonFile
from ripenroom.season.season import Season
from ripenroom.window.queue.page import QueueStrip
from ripenroom.window.session import Session
from ripenroom.window.theme import Look, dress
from tests.benchmarks.seasons import large_book
from tests.benchmarks.timing import median_ms, say

BATCHES = 2_000


def run() -> None:
    """Print the figures."""
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    dress(app, Look.LIGHT)
    book = large_book(BATCHES)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.ripenroom"
        SeasonFile.create(path, book.season, book.records()).close()
        settings = QSettings(str(Path(folder) / "window.ini"), QSettings.Format.IniFormat)
        session = Session(Season.open(path), settings)
        strip = QueueStrip(session)
        strip.resize(1366, 600)
        strip.refresh()
        strip.show()
        app.processEvents()
        season = session.season
        frames: list[float] = []
        for place in book.places.values():
            before_c = season.set_point_c(place.id)

            def drag(step: int, place_id: str = place.id, before_c: float = before_c) -> None:
                value_c = before_c + 0.1 * step
                strip.setProjection(season.preview_set_point(place_id, value_c, strip.in_sight()))
                app.processEvents()

            def look(step: int, place_id: str = place.id, before_c: float = before_c) -> None:
                season.preview_set_point(place_id, before_c - 0.1 * step, strip.in_sight())

            def rest(step: int, place_id: str = place.id, before_c: float = before_c) -> None:
                season.preview_set_point(place_id, before_c + 0.1 * step)

            whole_ms, science_ms, rest_ms = median_ms(drag), median_ms(look), median_ms(rest)
            frames.append(whole_ms)
            say(
                f"{BATCHES} batches, {place.name}: value to painted queue",
                f"{whole_ms:.1f} ms ({science_ms:.1f} science)",
            )
            say("  all batches of the place, once the hand rests", f"{rest_ms:.1f} ms")
        say("slowest place (aim: at most 16 ms)", f"{max(frames):.1f} ms")
        say("median place (aim: at most 8 ms)", f"{statistics.median(frames):.1f} ms")
        strip.close()
        session.close()

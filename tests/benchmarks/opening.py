"""Opening a season of 3,000 batches, from the file to the first projection."""

import tempfile
from pathlib import Path

from ripenroom.records.file import SeasonFile
from ripenroom.season.season import Season
from tests.benchmarks.seasons import large_book
from tests.benchmarks.timing import median_ms, say

BATCHES = 3_000


def run() -> None:
    """Print the figures."""
    book = large_book(BATCHES)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.ripenroom"
        SeasonFile.create(path, book.season, book.records()).close()

        def open_it(_: int) -> None:
            season = Season.open(path)
            season.projection()
            season.close()

        def open_file(_: int) -> None:
            Season.open(path).close()

        say(f"{BATCHES} batches: open the file", f"{median_ms(open_file, 5):.0f} ms")
        say(
            f"{BATCHES} batches: open and project (aim: under 500 ms)",
            f"{median_ms(open_it, 5):.0f} ms",
        )

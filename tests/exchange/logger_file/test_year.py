"""A year at one-minute steps: read whole, told how far it is, and stopped at once."""

import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.text_table.progress import ReadProgress, Stopped
from ripenroom.exchange.text_table.source import load

HOME = Home(ZoneInfo("Europe/Lisbon"), datetime(2027, 1, 5, tzinfo=UTC))
MINUTES = 525_600


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory) -> Path:
    day = [f"{n // 60:02}:{n % 60:02}:00;{40 + n % 37},{n % 10}\n" for n in range(1440)]
    start = datetime(2026, 1, 1, tzinfo=UTC)
    path = tmp_path_factory.mktemp("year") / "year.csv"
    with path.open("w", encoding="cp1252") as file:
        file.write("Datum;Zeit;Temp. [°F]\n")
        for number in range(365):
            date = f"{start + timedelta(days=number):%d.%m.%Y};"
            file.write("".join(date + line for line in day))
    return path


@pytest.mark.long
def test_it_is_read_whole_with_progress(year: Path) -> None:
    told: list[float] = []
    progress = ReadProgress(told.append)
    progress.part(0.0, 0.5)
    source = load(year, progress)
    progress.part(0.5, 1.0)
    found = read(source, HOME, progress=progress)
    (series,) = found.series
    # The hour that clocks skip has no readings; the one that comes twice was read once.
    assert series.times_s.size == MINUTES - 60
    assert found.rows == MINUTES
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 20


def test_it_can_be_stopped(year: Path) -> None:
    source = load(year)
    cancel = threading.Event()
    told: list[float] = []

    def tell(share: float) -> None:
        told.append(share)
        if share > 0.3:
            cancel.set()

    with pytest.raises(Stopped):
        read(source, HOME, progress=ReadProgress(tell, cancel))
    assert [share > 0.3 for share in told] == [False] * (len(told) - 1) + [True]


def test_more_lines_than_any_log_has_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "endless.csv"
    path.write_text("2026-01-01 00:00,4\n" * 2_000_001)
    with pytest.raises(ValueError, match="more than 2000000 lines"):
        load(path)

"""Seasons that are open, each in a file of its own."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from ripenroom.records.book import Record
from ripenroom.records.file import SeasonFile
from ripenroom.season.season import Season
from tests.season.farm import NOW, farm_records, season_record

Open = Callable[..., Season]


@pytest.fixture
def open_season(tmp_path: Path) -> Iterator[Open]:
    """Opens a season that holds the given records; its clock stands at ``NOW``."""
    opened: list[Season] = []

    def make(*records: Record, **facts: object) -> Season:
        path = tmp_path / f"season {len(opened)}.ripenroom"
        SeasonFile.create(path, season_record(**facts), records).close()
        opened.append(Season.open(path, clock=lambda: NOW))
        return opened[-1]

    yield make
    for season in opened:
        season.close()


@pytest.fixture(scope="session")
def written_farm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small farm, written once; never opened."""
    path = tmp_path_factory.mktemp("farm") / "farm.ripenroom"
    SeasonFile.create(path, season_record(), farm_records()).close()
    return path


@pytest.fixture
def living(written_farm: Path, tmp_path: Path) -> Iterator[Season]:
    """The small farm, before its first pick."""
    path = Path(shutil.copyfile(written_farm, tmp_path / "season.ripenroom"))
    season = Season.open(path, clock=lambda: NOW)
    yield season
    season.close()


@pytest.fixture
def few(written_few: Path, tmp_path: Path) -> Iterator[Season]:
    """A practice season of this test's own in which little is to be decided."""
    path = Path(shutil.copyfile(written_few, tmp_path / "few.ripenroom"))
    season = Season.open(path)
    yield season
    season.close()


@pytest.fixture
def practice(written_practice: Path, tmp_path: Path) -> Iterator[Season]:
    """A practice season of this test's own."""
    path = Path(shutil.copyfile(written_practice, tmp_path / "practice.ripenroom"))
    season = Season.open(path)
    yield season
    season.close()

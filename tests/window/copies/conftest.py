"""A season of one's own, beside the practice season that keeps no copies."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.session import Session


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.at = datetime(2026, 10, 1, 7, 30, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.at

    def forward(self, **by: float) -> None:
        self.at += timedelta(**by)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def own(
    qapp: QApplication, season_path: Path, settings: QSettings, clock: Clock
) -> Iterator[Session]:
    """The farm of the practice season, as if it were real."""
    made = Season.open(season_path)
    made.do(actions.season.save, replace(made.book.season, practice_now=None))
    made.close()
    session = Session(Season.open(season_path, clock=clock), settings)
    yield session
    session.close()

"""Words in any locale and currency, without a season file."""

from collections.abc import Callable
from datetime import date
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QLocale

from ripenroom.records.season import Season
from ripenroom.window.wording import Wording

MakeWords = Callable[..., Wording]


@pytest.fixture
def words_in() -> MakeWords:
    """The wording of a season by locale and currency."""

    def make(locale: str, currency: str = "EUR") -> Wording:
        season = Season(
            id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f",
            name="Test farm",
            zone="Europe/Berlin",
            first_day=date(2026, 8, 1),
            units="metric",
            currency=currency,
        )
        return Wording(QLocale(locale), season, ZoneInfo(season.zone))

    return make

"""Home time zones."""

from pathlib import Path

import pytest

from ripenroom.records.file import FileRefusal
from ripenroom.season.zones import require_known_zone, zone_of
from tests.season.farm import season_record


def test_the_zone_of_a_season() -> None:
    assert zone_of(season_record()).key == "Europe/Lisbon"


@pytest.mark.parametrize("zone", ["Mars/Olympus", "", "../etc/passwd", "/etc/passwd", "Europe"])
def test_a_zone_that_is_none_is_told_in_one_line(zone: str) -> None:
    with pytest.raises(FileRefusal) as caught:
        require_known_zone(season_record(zone=zone), Path("folder/mine.ripenroom"))
    assert "mine.ripenroom names the time zone" in caught.value.message
    assert "\n" not in caught.value.message

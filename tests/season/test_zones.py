"""Home time zones."""

import pytest

from ripenroom.records.refusal import Refusal
from ripenroom.records.validation import checked
from ripenroom.season.state import zone_of
from tests.season.farm import season_record


def test_the_zone_of_a_season() -> None:
    assert zone_of(season_record()).key == "Europe/Lisbon"


@pytest.mark.parametrize("zone", ["Mars/Olympus", "", "../etc/passwd", "/etc/passwd", "Europe"])
def test_a_zone_that_is_none_is_told_in_one_line(zone: str) -> None:
    with pytest.raises(Refusal) as caught:
        checked(season_record(zone=zone))
    assert caught.value.field == "zone"
    assert "There is no time zone" in caught.value.message
    assert "\n" not in caught.value.message

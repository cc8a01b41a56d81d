"""The table of set points that were tried."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from ripenroom.exchange.setpoint_table import COLUMNS, setpoint_table
from ripenroom.records.file import SeasonFile
from ripenroom.season.advice.advice import PlaceAdvice, RoomPair, SetPointAdvice, WorthCurve
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW, ROOM, SHELF, farm_records, season_record


@pytest.fixture
def living(tmp_path: Path) -> Iterator[Season]:
    path = tmp_path / "farm.ripenroom"
    SeasonFile.create(path, season_record(), farm_records()).close()
    season = Season.open(path)
    yield season
    season.close()


CURVE = WorthCurve(18.0, (2.0, 4.0), (30_000.0, 31_000.0), (0.5, 0.51), (0.3, 0.25))
PLACE = PlaceAdvice(
    place_id=COLD,
    today_c=4.0,
    advised_c=4.0,
    flat_low_c=3.0,
    flat_high_c=5.0,
    colder_loses_minor=None,
    warmer_loses_minor=None,
    lowest_c=0.0,
    highest_c=25.0,
    lowest_crop="pawpaw",
    highest_crop=None,
    curve=CURVE,
    as_it_is=CURVE,
)
PAIR = RoomPair(
    cold_id=COLD,
    ripening_id=ROOM,
    cold_c=(2.0, 4.0),
    ripening_c=(16.0, 18.0),
    value_minor=((29_000.0, 30_000.0), (30_500.0, 31_000.0)),
    sold_share=((0.5, 0.5), (0.5, 0.51)),
    chilling_used=((0.3, 0.3), (0.25, 0.25)),
    advised=(1, 1),
    today=(1, 0),
)
ROOM_ADVICE = replace(PLACE, place_id=ROOM, today_c=16.0, advised_c=18.0)
SINGLE = replace(PLACE, place_id=SHELF)
ADVICE = SetPointAdvice(NOW, (PLACE, ROOM_ADVICE, SINGLE), PAIR, 30_500.0, 500.0)


def test_a_row_for_every_pair_of_settings_and_for_each_of_a_place_alone(
    living: Season,
) -> None:
    table = setpoint_table(living, ADVICE)
    assert tuple(table.columns) == COLUMNS
    assert table.to_numpy().tolist() == [
        ["Cold", 2.0, "Room", 16.0, "290.00", "0.500", "0.300"],
        ["Cold", 2.0, "Room", 18.0, "300.00", "0.500", "0.300"],
        ["Cold", 4.0, "Room", 16.0, "305.00", "0.500", "0.250"],
        ["Cold", 4.0, "Room", 18.0, "310.00", "0.510", "0.250"],
        ["Shelf", 2.0, "", "", "300.00", "0.500", "0.300"],
        ["Shelf", 4.0, "", "", "310.00", "0.510", "0.250"],
    ]


def test_of_nothing_the_table_is_empty(living: Season) -> None:
    assert len(setpoint_table(living, SetPointAdvice(NOW, (), None, 0.0, 0.0))) == 0

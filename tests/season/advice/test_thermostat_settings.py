"""Which set points are tried, where, and in what kind of book."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.place import Place, PlaceKind, SetPointChange, TemperatureLog
from ripenroom.records.temperature_series import pack, unpack
from ripenroom.season.advice.thermostat_settings import (
    SettingLimits,
    held_at,
    limits_of,
    settings_around,
    thermostats,
    without_readings_ahead,
)
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.room_clocks import schedules
from tests.season.farm import COLD, NOW, SHELF, book_of, farm_records

WIDE = SettingLimits(-10.0, 40.0, None, None)


def test_the_tenderest_crop_sets_each_limit() -> None:
    crops = shipped_profiles()
    alone = limits_of(crops, {CropKind("pear")})
    freezes, ripening = crops["pear"].storage.freezing_c, crops["pear"].ripening
    assert freezes is not None
    assert ripening is not None
    assert alone == SettingLimits(freezes.value + 0.5, ripening.limit_c or 0.0, "pear", "pear")
    both = limits_of(crops, {CropKind(key) for key in ("pear", "pawpaw", "banana")})
    assert (both.lowest_crop, both.highest_crop) == ("banana", "banana")
    freezes = crops["banana"].storage.freezing_c
    assert freezes is not None
    assert both.lowest_c == freezes.value + 0.5
    # A crop whose profile names no warmest temperature sets none.
    pawpaw = limits_of(crops, {CropKind("pawpaw")})
    assert (pawpaw.highest_c, pawpaw.highest_crop) == (25.0, None)


def test_settings_lie_around_todays_within_the_limits() -> None:
    assert settings_around(4.0, 7, 1, "metric", WIDE) == (0.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)
    assert settings_around(20.0, 5, 2, "metric", WIDE) == (16.0, 18.0, 20.0, 22.0, 24.0)
    warm = settings_around(1.0, 5, 1, "metric", SettingLimits(0.0, 25.0, None, None))
    assert warm == (0.0, 1.0, 2.0, 3.0, 5.0)


def test_a_setting_beyond_the_limits_is_tried_as_todays_only() -> None:
    tried = settings_around(-2.0, 7, 1, "metric", SettingLimits(0.0, 25.0, None, None))
    assert tried[0] == -2.0
    assert all(celsius >= 0.0 for celsius in tried[1:])


def test_no_setting_is_a_little_beyond_a_limit() -> None:
    """Of 4 °C (39.2 °F) the fourth of two degrees Fahrenheit down is 31.2 °F."""
    limits = SettingLimits(-0.4, 4.0 + 10.0 / 9.0 - 0.04, "pawpaw", "pawpaw")
    assert limits.hold(-0.4)
    assert not limits.hold(4.0 - 4 * 10.0 / 9.0)
    tried = settings_around(4.0, 7, 1, "us", limits)
    assert min(tried) == pytest.approx(4.0 - 2 * 10.0 / 9.0, abs=0.01)
    assert max(tried) == 4.0


def test_in_us_units_steps_are_whole_fahrenheit_degrees() -> None:
    tried = settings_around(5.0, 5, 1, "us", WIDE)
    fahrenheit = [celsius * 1.8 + 32.0 for celsius in tried]
    assert fahrenheit == pytest.approx([37.0, 39.0, 41.0, 43.0, 45.0], abs=0.01)


def test_held_from_now_on_whatever_was_written_down_for_later() -> None:
    later = SetPointChange(id="later", place_id=COLD, at=NOW + timedelta(days=3), set_point_c=9.0)
    book = book_of(*farm_records(), later)
    zone = book.season.zone
    tried = held_at(book, NOW, {COLD: 1.0})
    plan = schedules(tried, ZoneInfo(zone))[COLD]
    now_h = to_hours(NOW)
    assert [plan.set_point_at(now_h + hours) for hours in (-1.0, 1.0, 99.0)] == [3.0, 1.0, 1.0]
    assert schedules(tried, ZoneInfo(zone))[SHELF] == schedules(book, ZoneInfo(zone))[SHELF]
    assert later.id in book.set_points


def test_readings_ahead_do_not_count() -> None:
    times = int(NOW.timestamp()) + np.arange(-4, 5) * 3600
    whole = TemperatureLog(
        id="log",
        place_id=COLD,
        name="a.csv",
        probe="1",
        starts_at=NOW - timedelta(hours=4),
        ends_at=NOW + timedelta(hours=4),
        series=pack(times, np.arange(9.0)),
    )
    ahead = replace(whole, id="ahead", starts_at=NOW, series=pack(times[4:], np.arange(5.0)))
    over = replace(
        whole, id="over", ends_at=NOW - timedelta(hours=1), series=pack(times[:4], np.arange(4.0))
    )
    book = book_of(*farm_records(), whole, ahead, over)
    cut = without_readings_ahead(book, NOW).temperature_logs
    assert set(cut) == {"log", "over"}
    assert unpack(cut["log"].series)[0].tolist() == times[:4].tolist()
    assert cut["log"].ends_at == NOW - timedelta(hours=1)
    assert cut["over"] is over
    plain = book_of(*farm_records())
    assert without_readings_ahead(plain, NOW) is plain


def place(key: str, kind: PlaceKind, capacity: int | None = None) -> Place:
    return Place(id=key, name=key, kind=kind, half_cooling_h=5.0, capacity_crates=capacity)


def test_the_fullest_cold_room_and_ripening_room_are_a_pair() -> None:
    book = book_of(
        place("small", "cold room", 10),
        place("big", "cold room", 90),
        place("cellar", "cool shelf", 200),
        place("table", "counter", 20),
        place("bin", "field bin"),
        place("ripe", "ripening room", 30),
    )
    by_size = thermostats(book, {})
    assert (by_size.pair, by_size.singles) == (("big", "ripe"), ("small", "cellar"))
    by_use = thermostats(book, {"small": 3.0, "cellar": 50.0})
    assert (by_use.pair, by_use.singles) == (("small", "ripe"), ("big", "cellar"))


def test_without_a_cold_room_a_cool_shelf_takes_its_part() -> None:
    shelf, ripe = place("cellar", "cool shelf"), place("ripe", "ripening room")
    assert thermostats(book_of(shelf, ripe), {}).pair == ("cellar", "ripe")
    alone = thermostats(book_of(shelf), {})
    assert (alone.pair, alone.singles) == (None, ("cellar",))
    none = thermostats(book_of(place("table", "counter")), {})
    assert (none.pair, none.singles) == (None, ())

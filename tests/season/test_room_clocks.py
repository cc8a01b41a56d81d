"""Places as schedules of set points, and as their logs found them."""

import math
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.place import SetPointChange, TemperatureLog
from ripenroom.records.temperature_series import pack
from ripenroom.season.crop_constants import crop_constants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.room_clocks import ClockCache, CropClocks, Schedule, schedules, shelved
from ripenroom.season.state import zone_of
from tests.season.farm import COLD, NOW, UNUSED, book_of, farm_records

NOW_H = to_hours(NOW)


def plan(*changes: tuple[float, float]) -> Schedule:
    hours = tuple(NOW_H + h for h, _ in changes)
    return Schedule(hours, tuple(c for _, c in changes), 5.0, 0.0, 15.0)


def test_set_points_in_the_order_of_time() -> None:
    late = SetPointChange(id="later", place_id=COLD, at=NOW + timedelta(hours=5), set_point_c=9.0)
    lost = SetPointChange(id="lost", place_id="gone", at=NOW, set_point_c=9.0)
    book = book_of(late, lost, *farm_records())
    found = schedules(book, zone_of(book.season))
    assert found[COLD].set_point_c == (3.0, 9.0)
    assert found[UNUSED].set_point_c == (8.0,)
    assert "gone" not in found


@pytest.mark.parametrize(
    ("at_h", "celsius"), [(-500.0, 3.0), (-10.0, 3.0), (0.0, 5.0), (4.9, 5.0), (5.0, 7.0)]
)
def test_the_set_point_in_force(at_h: float, celsius: float) -> None:
    assert plan((-10.0, 3.0), (0.0, 5.0), (5.0, 7.0)).set_point_at(NOW_H + at_h) == celsius


def test_from_then_on_drops_what_comes_later() -> None:
    tried = plan((-10.0, 3.0), (0.0, 5.0), (5.0, 7.0)).from_then_on(NOW_H, 12.0)
    assert tried == plan((-10.0, 3.0), (0.0, 12.0))


def test_from_then_on_before_any_set_point_holds_for_all_time() -> None:
    tried = plan((5.0, 7.0)).from_then_on(NOW_H, 12.0)
    assert tried == plan((0.0, 12.0))
    assert tried.air().air_c(NOW_H - 100.0) == 12.0


def test_clocks_are_kept_while_nothing_of_theirs_changes() -> None:
    room = ClockCache()
    constants = {CropKind("pear"): crop_constants(shipped_profiles()["pear"])}
    still, turned = plan((-10.0, 3.0)), plan((-10.0, 9.0))

    def run(schedule: Schedule) -> object:
        return room.clocks([(schedule, CropKind("pear"))], constants, NOW_H, NOW_H + 240.0)[0]

    first = run(still)
    assert run(still) is first
    assert run(turned) is not first
    assert run(still) is first


def test_after_a_long_drag_the_latest_clocks_are_kept_and_the_oldest_gone() -> None:
    room = ClockCache()
    constants = {CropKind("pear"): crop_constants(shipped_profiles()["pear"])}

    def run(celsius: float) -> object:
        wanted = [(plan((-10.0, celsius)), CropKind("pear"))]
        return room.clocks(wanted, constants, NOW_H, NOW_H + 48.0)[0]

    first, second = run(0.0), run(0.005)
    for step in range(1, 260):
        latest = run(step / 100.0)
        if step % 50 == 0:
            assert run(0.0) is first  # used now and then, as the untouched rooms are
    assert run(259 / 100.0) is latest
    assert run(0.0) is first
    assert run(0.005) is not second


def test_of_too_many_knots_none_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    room = ClockCache()
    constants = {CropKind("pear"): crop_constants(shipped_profiles()["pear"])}
    monkeypatch.setattr("ripenroom.season.room_clocks._MOST_KNOTS", 400)

    def run(*celsius: float) -> list[CropClocks]:
        swings = (replace(plan((-10.0, c)), swing_k=4.0) for c in celsius)
        wanted = [(schedule, CropKind("pear")) for schedule in swings]
        return room.clocks(wanted, constants, NOW_H, NOW_H + 240.0)

    [one] = run(3.0)
    assert run(3.0)[0] is one
    both = run(3.0, 9.0)
    assert both[0] is one
    [again] = run(3.0)
    assert again is not one
    assert (again["ageing"].theta == one["ageing"].theta).all()


def test_what_is_kept_for_later_is_limited_by_its_knots(monkeypatch: pytest.MonkeyPatch) -> None:
    room = ClockCache()
    constants = {CropKind("pear"): crop_constants(shipped_profiles()["pear"])}
    monkeypatch.setattr("ripenroom.season.room_clocks._TRAIL_KNOTS", 600)

    def run(celsius: float) -> CropClocks:
        wanted = [(replace(plan((-10.0, celsius)), swing_k=4.0), CropKind("pear"))]
        return room.clocks(wanted, constants, NOW_H, NOW_H + 240.0)[0]

    first, second, third, fourth = (run(celsius) for celsius in (1.0, 2.0, 3.0, 4.0))
    assert run(4.0) is fourth
    assert run(3.0) is third
    assert run(2.0) is second
    assert run(1.0) is not first


def test_without_rooms_there_is_still_a_shelf() -> None:
    clocks = shelved([])
    assert np.isfinite(clocks.knots.position(np.array([0]), np.array([NOW_H]))).all()


def log_of(place_id: str, *readings: tuple[float, float], log_id: str = "log") -> TemperatureLog:
    """A log with readings (hours from NOW, C)."""
    times_s = np.array([round((NOW_H + h) * 3600.0) for h, _ in readings])
    return TemperatureLog(
        id=log_id,
        place_id=place_id,
        name="fridge.csv",
        probe="",
        starts_at=NOW + timedelta(hours=readings[0][0]),
        ends_at=NOW + timedelta(hours=readings[-1][0]),
        series=pack(times_s, [celsius for _, celsius in readings]),
    )


def test_a_logged_place_has_its_air_from_the_log_and_from_the_set_point_elsewhere() -> None:
    log = log_of(COLD, (-5.0, 7.0), (-4.0, 9.0), (-3.0, 9.0))
    book = book_of(log, *farm_records())
    found = schedules(book, zone_of(book.season))
    air = found[COLD].air()
    assert air.air_c(NOW_H + np.array([-6.0, -4.5, -3.5, -1.0])).tolist() == [3.0, 8.0, 9.0, 3.0]
    assert found[UNUSED].air().air_c(NOW_H - 4.0) == 8.0


def test_while_a_set_point_is_tried_the_log_ends_where_the_trial_begins() -> None:
    log = log_of(COLD, *((float(h), 9.0) for h in range(-5, 6)))
    book = book_of(log, *farm_records())
    tried = schedules(book, zone_of(book.season))[COLD].from_then_on(NOW_H, 5.0)
    assert tried.air().air_c(NOW_H + np.array([-1.0, 0.5, 3.0])).tolist() == [9.0, 5.0, 5.0]
    unlogged = schedules(book, zone_of(book.season))[UNUSED]
    assert unlogged.from_then_on(NOW_H, 5.0).logged_until_h == math.inf


def test_clocks_of_a_logged_place_are_kept_until_its_log_changes() -> None:
    room = ClockCache()
    constants = {CropKind("pear"): crop_constants(shipped_profiles()["pear"])}
    log = log_of(COLD, (-5.0, 7.0), (-4.0, 9.0))

    def run(*logs: TemperatureLog) -> object:
        book = book_of(*logs, *farm_records())
        schedule = schedules(book, zone_of(book.season))[COLD]
        return room.clocks([(schedule, CropKind("pear"))], constants, NOW_H - 48.0, NOW_H + 240.0)[
            0
        ]

    first = run(log)
    assert run(replace(log)) is first
    assert run(log_of(COLD, (-5.0, 7.0), (-4.0, 9.1))) is not first
    assert run() is not first


def test_pulp_that_was_warm_in_the_log_ages_more_than_the_dial_says() -> None:
    room = ClockCache()
    constants = {CropKind("pear"): crop_constants(shipped_profiles()["pear"])}
    log = log_of(COLD, *((float(h), 12.0) for h in range(-100, 0)))
    book = book_of(log, *farm_records())
    logged = schedules(book, zone_of(book.season))[COLD]
    believed = replace(logged, logs=())
    wanted = [(logged, CropKind("pear")), (believed, CropKind("pear"))]
    found = room.clocks(wanted, constants, NOW_H - 120.0, NOW_H + 48.0)
    aged = [np.interp(NOW_H, clocks["ageing"].hours, clocks["ageing"].theta) for clocks in found]
    assert aged[0] > 1.5 * aged[1]

"""Days of weather, known and usual, and places that follow them."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.records.orchard import MonthlyNormal, normal_id
from ripenroom.season import actions
from ripenroom.season.actions.weather import day_weather
from ripenroom.season.moments import to_hours
from ripenroom.season.outdoors import outdoor_days
from ripenroom.season.room_clocks import schedules
from ripenroom.season.season import Season
from ripenroom.season.state import Changed
from tests.season.farm import NOW, SHELF, book_of, entry, farm_records

TODAY = NOW.date()


def test_days_without_weather_take_what_is_usual_for_their_month() -> None:
    days = [day_weather(TODAY - timedelta(days=n), 5.0, 15.0, "read") for n in (3, 1)]
    ahead = day_weather(TODAY + timedelta(days=1), -1.0, None, "forecast")
    october = MonthlyNormal(id=normal_id(10), month=10, min_c=7.0, max_c=17.0)
    book = book_of(*farm_records(), *days, ahead, october)
    found = outdoor_days(book, ZoneInfo("Europe/Lisbon"))
    assert found is not None
    # 28 and 30 September are known, the 29th is not and September has nothing usual; then October.
    assert found.min_c[:2] == (5.0, 5.0)
    assert (found.min_c[2], found.max_c[2]) == (7.0, 17.0)
    assert (found.min_c[3], found.max_c[3]) == (-1.0, 17.0)
    assert len(found.min_c) == 2 + 31


def test_a_farm_without_weather_has_no_days(living: Season) -> None:
    assert outdoor_days(living.book, living.zone) is None


def test_a_place_follows_the_weather_where_it_is_known(living: Season) -> None:
    days = [day_weather(TODAY - timedelta(days=n), 5.0, 15.0, "read") for n in range(1, 9)]
    living.do(actions.weather.take_days, days, "station.csv")
    shelf = living.book.places[SHELF]
    before = schedules(living.book, living.zone)[SHELF].air()
    at = to_hours(NOW) - 24.0 * np.arange(2.0, 7.0, 1 / 24.0)
    assert set(before.air_c(at)) == {14.0}
    living.do(actions.places.save, replace(shelf, weather_lag_h=0.0))
    air = schedules(living.book, living.zone)[SHELF].air()
    assert air.air_c(at).min() == pytest.approx(5.0, abs=0.1)
    assert air.air_c(at).max() == pytest.approx(15.0, abs=0.1)
    living.do(actions.places.save, replace(shelf, weather_lag_h=10.0))
    slow = schedules(living.book, living.zone)[SHELF].air()
    assert np.ptp(slow.air_c(at)) < 5.0
    assert slow.air_c(at).mean() == pytest.approx(air.air_c(at).mean(), abs=0.3)
    # Before the first day and after the last its set point counts.
    assert slow.air_c(to_hours(NOW) + 48.0) == 14.0
    assert slow.air_c(to_hours(NOW) - 24.0 * 12) == 14.0
    # Pulp is where it settles, without a jump.
    fine = to_hours(NOW) - 24.0 * 10 + np.arange(0.0, 12 * 24.0, 0.1)
    assert np.abs(np.diff(slow.pulp_c(fine))).max() < 0.2


def test_a_thermometer_in_the_place_goes_before_the_weather(living: Season) -> None:
    days = [day_weather(TODAY - timedelta(days=n), 5.0, 15.0, "read") for n in range(1, 9)]
    living.do(actions.weather.take_days, days, "station.csv")
    living.do(actions.places.save, replace(living.book.places[SHELF], weather_lag_h=1.0))
    first = int((NOW - timedelta(days=4)).timestamp())
    times = first + 600 * np.arange(144 * 2)
    living.do(actions.places.add_log, SHELF, "a.csv", "", times, np.full(times.size, 21.0))
    air = schedules(living.book, living.zone)[SHELF].air()
    assert air.air_c(to_hours(NOW) - 72.0) == 21.0
    assert air.air_c(to_hours(NOW) - 24.0 * 6) < 16.0


def test_weather_touches_places_that_follow_it_and_moves_their_dates(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(place_id=SHELF))
    living.do(actions.places.save, replace(living.book.places[SHELF], weather_lag_h=2.0))
    opens = living.projection().opens_h.mid[living.projection().line_of[batch.id]]
    told: list[Changed] = []
    living.subscribe(told.append)
    warm = [day_weather(TODAY - timedelta(days=1), 18.0, 30.0, "read")]
    living.do(actions.weather.take_days, warm, "station.csv")
    assert told == [Changed(places=frozenset({SHELF}), weather=True)]
    assert living.projection().opens_h.mid[living.projection().line_of[batch.id]] < opens

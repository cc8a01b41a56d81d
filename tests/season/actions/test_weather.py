"""Days of weather, what is usual, and dates of first frost: what is kept of what."""

from datetime import date, timedelta

import pytest

from ripenroom.records.orchard import FROST_ID, weather_id
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.actions.weather import day_weather
from ripenroom.season.season import Season
from tests.season.farm import NOW, refused

TODAY = NOW.date()


def test_days_of_a_file_come_in_and_typed_ones_stay(living: Season) -> None:
    typed = day_weather(TODAY - timedelta(days=2), 4.0, 15.0)
    living.do(actions.weather.save_day, typed)
    far = day_weather(date(2001, 7, 1), 9.0, 21.0, "read")
    days = [day_weather(TODAY - timedelta(days=n), 6.0, 18.0, "read") for n in range(1, 5)]
    taken = living.do(actions.weather.take_days, [far, *days], "station.csv")
    assert (taken.new, taken.typed_kept, taken.too_far) == (3, 1, 1)
    assert living.book.weather[typed.id] == typed
    assert living.undo_label == "3 days of weather from station.csv"
    again = living.do(actions.weather.take_days, days, "station.csv")
    assert (again.new, again.changed, again.same) == (0, 0, 3)
    living.undo()
    assert living.book.weather == {typed.id: typed}


def test_what_was_read_goes_before_what_was_filled_or_forecast(living: Season) -> None:
    on = [TODAY - timedelta(days=1), TODAY + timedelta(days=1)]
    filled = day_weather(on[0], 5.0, 15.0, "filled")
    forecast = day_weather(on[1], -2.0, None, "forecast")
    living.do(actions.weather.take_days, [filled], "station.csv")
    living.do(actions.weather.save_day, forecast)
    read = [day_weather(day, 7.0, 16.0, "read") for day in on]
    taken = living.do(actions.weather.take_days, read, "station.csv")
    assert taken.changed == 2
    back = living.do(actions.weather.take_days, [filled], "station.csv")
    assert (back.changed, back.same) == (0, 1)
    assert living.book.weather[weather_id(on[0])].source == "read"


@pytest.mark.parametrize(
    ("days", "max_c", "source", "words"),
    [
        (1, 12.0, "typed", "still to come"),
        (-1, 12.0, "forecast", "today or later"),
        (-1, None, "typed", "Type its warmest"),
        (-1, -9.0, "typed", "colder than the coldest"),
        (-1, 99.0, "typed", "99 °C"),
    ],
)
def test_days_that_cannot_be(
    living: Season, days: int, max_c: float | None, source: str, words: str
) -> None:
    day = day_weather(TODAY + timedelta(days=days), -1.0, max_c, source)  # type: ignore[arg-type]
    assert words in refused(living, lambda: living.do(actions.weather.save_day, day)).message


def test_days_are_deleted_together(living: Season) -> None:
    days = [day_weather(TODAY - timedelta(days=n), 6.0, 18.0, "read") for n in range(1, 4)]
    living.do(actions.weather.take_days, days, "a.csv")
    living.do(actions.weather.delete_days, [day.id for day in days])
    assert living.book.weather == {}
    refused(living, lambda: living.do(actions.weather.delete_days, [days[0].id]))


def test_usual_months_are_set_as_a_whole(living: Season) -> None:
    living.do(actions.weather.set_normals, {8: (14.0, 26.0), 9: (11.0, 23.0)})
    living.do(actions.weather.set_normals, {9: (11.5, 23.0), 10: (6.0, 17.0)})
    assert {m.month: m.min_c for m in living.book.monthly_normals.values()} == {9: 11.5, 10: 6.0}
    refused(living, lambda: living.do(actions.weather.set_normals, {13: (1.0, 2.0)}))
    refused(living, lambda: living.do(actions.weather.set_normals, {9: (21.0, 2.0)}))


def test_frost_is_two_days_or_a_list(living: Season) -> None:
    tenth, even = date(2026, 10, 8), date(2026, 10, 21)
    living.do(actions.weather.set_frost, tenth, even)
    assert living.book.frost_dates[FROST_ID].even_on == even
    past = [date(2021, 10, 30), date(2019, 10, 12)]
    living.do(actions.weather.set_frost, first_frosts=past, frost_c=-2.0)
    assert living.book.frost_dates[FROST_ID].first_frosts == tuple(sorted(past))
    for given in (
        {"tenth_on": tenth},
        {"tenth_on": even, "even_on": tenth},
        {"tenth_on": tenth, "even_on": even, "first_frosts": past},
        {"first_frosts": [past[0], past[0]]},
        {},
    ):
        refused(living, lambda given=given: living.do(actions.weather.set_frost, **given))  # type: ignore[misc]
    living.do(actions.weather.forget_frost)
    assert living.book.frost_dates == {}
    with pytest.raises(Refusal):
        actions.weather.forget_frost(living.state)


@pytest.mark.parametrize(
    ("tenth", "even", "field", "words"),
    [
        (date(2026, 11, 9), date(2026, 10, 24), "tenth_on", "Swap them"),
        (date(2026, 10, 24), date(2025, 11, 9), "tenth_on", "check days and years"),
        (date(2025, 10, 24), date(2026, 11, 9), "even_on", "381 days apart"),
    ],
)
def test_frost_days_in_the_wrong_order_or_of_two_autumns_are_refused(
    living: Season, tenth: date, even: date, field: str, words: str
) -> None:
    refusal = refused(living, lambda: living.do(actions.weather.set_frost, tenth, even))
    assert refusal.field == field
    assert words in refusal.message

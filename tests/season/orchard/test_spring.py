"""Peaches by their spring: the published first pick of Red Haven, and warm hours after bloom."""

from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from ripenroom.records.orchard import Cultivar, Row
from ripenroom.records.weather import DayWeather, weather_id
from ripenroom.season.known_crops import crops_of
from ripenroom.season.orchard.forecast import orchard_forecast
from ripenroom.season.orchard.found import RowForecast
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState

ROW = Row(
    id="peach row",
    name="Peach row",
    cultivar_id="rh",
    fruit_on_trees=200,
    bloomed_on=date(2026, 4, 30),
)


@pytest.fixture
def state() -> SeasonState:
    """Red Haven on the practice farm on 20 June, with the weather of June 3 and before typed."""
    book = demo_book()
    zone = ZoneInfo(book.season.zone)
    assert book.season.practice_now is not None
    now = book.season.practice_now.replace(month=6, day=20)
    base = SeasonState(book, crops_of(book).profiles, now, zone)
    first = date(2026, 1, 1)
    # None in winter, and 524 F days above 50 F in the 60 days from 5 April to 3 June.
    heat_c = 524.0 / 1.8 / 60.0
    days = []
    for n in range(170):
        on = first + timedelta(days=n)
        mean = 10.0 + heat_c if on > date(2026, 4, 4) else 0.0
        days.append(DayWeather(id=weather_id(on), on=on, min_c=mean, max_c=mean, source="read"))
    cultivar = Cultivar(id="rh", crop="peach", name="Red Haven")
    return base.with_changes([cultivar, ROW, *days])


def told(state: SeasonState) -> RowForecast:
    found = orchard_forecast(state).of_row(ROW.id)
    assert found is not None
    return found


def test_red_haven_begins_when_its_published_line_says(state: SeasonState) -> None:
    """With the 524 F degree days of the worked example (Michigan State University Extension) the
    later line has day 234.9 - 0.0386 x 524 = 214.7: 3 August."""
    row = told(state)
    assert row.spring is not None
    assert row.spring.first_pick == date(2026, 8, 3)


def test_rows_begin_from_that_day(state: SeasonState) -> None:
    """One fruit in ten gives on the day that spring foretells; other peaches begin by the book."""
    on = replace(state, now=state.now + timedelta(days=30))
    row = told(on)
    share = [count.mid / row.hanging.mid for count in row.ready]
    first = share[(date(2026, 8, 3) - on.today).days]
    assert 0.05 < first < 0.35
    other = replace(state.book.cultivars["rh"], name="Another")
    assert told(on.with_changes([other])).spring is not None
    assert told(on.with_changes([other])).spring.first_pick is None  # type: ignore[union-attr]


def test_growing_hours_after_bloom_are_told_where_the_weather_is_known(state: SeasonState) -> None:
    may = [day for day in state.book.weather.values() if day.on > date(2026, 4, 30)]
    for low_c, high_c, is_warm in ((5.0, 15.0, False), (14.0, 28.0, True)):
        days = [replace(day, min_c=low_c, max_c=high_c) for day in may]
        spring = told(state.with_changes(days)).spring
        assert spring is not None
        assert spring.growing_hours is not None
        assert (spring.growing_hours > 6000.0) is spring.is_warm is is_warm
    unknown = told(state.with_changes([replace(ROW, bloomed_on=None)])).spring
    assert unknown is None or unknown.growing_hours is None


def test_pawpaws_have_no_such_figures(state: SeasonState) -> None:
    pawpaw = replace(state.book.cultivars["rh"], id="p", crop="pawpaw")
    row = replace(ROW, cultivar_id="p")
    assert told(state.with_changes([pawpaw, row])).spring is None

"""When rows bloomed, and what spring says of peaches."""

from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from ripenroom.records.orchard import Cultivar, DayWeather, Row, Walk, weather_id
from ripenroom.season.crop_kinds import crops_of
from ripenroom.season.orchard.forecast import orchard_forecast
from ripenroom.season.orchard.orchard_types import Bloom, RowForecast
from ripenroom.season.orchard.priors import needs_of
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState


@pytest.fixture
def state() -> SeasonState:
    """The practice season before anybody looked at its trees."""
    book = demo_book()
    assert book.season.practice_now is not None
    zone = ZoneInfo(book.season.zone)
    state = SeasonState(book, crops_of(book).profiles, book.season.practice_now, zone)
    return state.with_changes([], [*book.walks.values(), *book.batches.values()])


def bloom_of(state: SeasonState, name: str) -> Bloom:
    row = next(row for row in state.book.rows.values() if row.name == name)
    found = orchard_forecast(state).of_row(row.id)
    assert found is not None
    return found.bloom


def without_bloom(state: SeasonState, *names: str) -> SeasonState:
    """Nobody noted the bloom of these rows; of none, where none is named."""
    rows = [row for row in state.book.rows.values() if not names or row.name in names]
    return state.with_changes([replace(row, bloomed_on=None) for row in rows])


def without_weather(state: SeasonState) -> SeasonState:
    book = state.book
    return state.with_changes([], [*book.weather.values(), *book.monthly_normals.values()])


def test_a_noted_day_is_taken(state: SeasonState) -> None:
    assert bloom_of(state, "Wall row") == Bloom(date(2026, 5, 2), 2.0, "noted")


def test_other_rows_of_its_cultivar_come_first_then_of_its_crop(state: SeasonState) -> None:
    twin = bloom_of(without_bloom(state, "Middle row 1"), "Middle row 1")
    assert (twin.on, twin.by) == (date(2026, 4, 26), "cultivar")
    alone = bloom_of(without_bloom(state, "Wall row"), "Wall row")
    assert alone.by == "crop"
    assert date(2026, 4, 19) <= alone.on <= date(2026, 4, 26)
    assert twin.sd_days < alone.sd_days


def test_then_the_warmth_of_spring(state: SeasonState) -> None:
    """The practice farm's pawpaws bloom from 19 April to 2 May."""
    guess = bloom_of(without_bloom(state), "Wall row")
    assert guess.by == "spring"
    assert abs((guess.on - date(2026, 4, 26)).days) <= 2.0 * guess.sd_days
    # A colder spring is a later one, and sure of nothing.
    cold = [
        replace(day, min_c=day.min_c - 3.0, max_c=(day.max_c or day.min_c) - 3.0)
        for day in state.book.weather.values()
        if day.on < date(2026, 7, 1)
    ]
    assert bloom_of(without_bloom(state.with_changes(cold)), "Wall row").on > guess.on


def test_without_weather_its_first_walk_and_else_the_seasons_first_day(state: SeasonState) -> None:
    bare = without_weather(without_bloom(state))
    needs = timedelta(days=round(needs_of("pawpaw").days))
    begun = bloom_of(bare, "Wall row")
    assert (begun.on, begun.by) == (bare.book.season.first_day - needs, "season")
    wall = next(row for row in bare.book.rows.values() if row.name == "Wall row")
    at = bare.now - timedelta(days=9)
    walked = bare.with_changes([Walk(id="w", row_id=wall.id, at=at, feel_counts=(30, 0, 0, 0, 0))])
    looked = bloom_of(walked, "Wall row")
    assert (looked.on, looked.by) == (at.date() - needs, "walk")
    assert looked.sd_days < begun.sd_days


def test_south_of_the_equator_bloom_is_in_their_spring(state: SeasonState) -> None:
    season = replace(state.book.season, first_day=date(2027, 2, 20), practice_now=None)
    south = without_weather(without_bloom(replace(state, book=replace(state.book, season=season))))
    assert bloom_of(south, "Wall row").on == date(2027, 2, 20) - timedelta(days=138)


def test_a_day_of_bloom_that_hardly_fits_is_said_and_makes_no_millions(state: SeasonState) -> None:
    book = demo_book()
    seen = state.with_changes([*book.walks.values(), *book.batches.values()])
    wall = next(row for row in book.rows.values() if row.name == "Wall row")
    usual = orchard_forecast(seen).of_row(wall.id)
    assert usual is not None
    assert not usual.bloom_is_odd
    for slip in (date(2026, 9, 20), date(2025, 9, 20)):
        odd = orchard_forecast(seen.with_changes([replace(wall, bloomed_on=slip)])).of_row(wall.id)
        assert odd is not None
        assert odd.bloom_is_odd
        assert odd.hanging.high < 10.0 * usual.hanging.high
    assert not any(row.bloom_is_odd for row in orchard_forecast(seen).rows)


ROW = Row(
    id="peach row",
    name="Peach row",
    cultivar_id="rh",
    fruit_on_trees=200,
    bloomed_on=date(2026, 4, 30),
)


@pytest.fixture
def peach_state() -> SeasonState:
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


def told(peach_state: SeasonState) -> RowForecast:
    found = orchard_forecast(peach_state).of_row(ROW.id)
    assert found is not None
    return found


def test_red_haven_begins_when_its_published_line_says(peach_state: SeasonState) -> None:
    """With the 524 F degree days of the worked example (Michigan State University Extension) the
    later line has day 234.9 - 0.0386 x 524 = 214.7: 3 August."""
    row = told(peach_state)
    assert row.spring is not None
    assert row.spring.first_pick == date(2026, 8, 3)


def test_rows_begin_from_that_day(peach_state: SeasonState) -> None:
    """One fruit in ten gives on the day that spring foretells; other peaches begin by the book."""
    on = replace(peach_state, now=peach_state.now + timedelta(days=30))
    row = told(on)
    share = [count.mid / row.hanging.mid for count in row.ready]
    first = share[(date(2026, 8, 3) - on.today).days]
    assert 0.05 < first < 0.35
    other = replace(peach_state.book.cultivars["rh"], name="Another")
    assert told(on.with_changes([other])).spring is not None
    assert told(on.with_changes([other])).spring.first_pick is None  # type: ignore[union-attr]


def test_growing_hours_after_bloom_are_told_where_the_weather_is_known(
    peach_state: SeasonState,
) -> None:
    may = [day for day in peach_state.book.weather.values() if day.on > date(2026, 4, 30)]
    for low_c, high_c, is_warm in ((5.0, 15.0, False), (14.0, 28.0, True)):
        days = [replace(day, min_c=low_c, max_c=high_c) for day in may]
        spring = told(peach_state.with_changes(days)).spring
        assert spring is not None
        assert spring.growing_hours is not None
        assert (spring.growing_hours > 6000.0) is spring.is_warm is is_warm
    unknown = told(peach_state.with_changes([replace(ROW, bloomed_on=None)])).spring
    assert unknown is None or unknown.growing_hours is None


def test_pawpaws_have_no_such_figures(peach_state: SeasonState) -> None:
    pawpaw = replace(peach_state.book.cultivars["rh"], id="p", crop="pawpaw")
    row = replace(ROW, cultivar_id="p")
    assert told(peach_state.with_changes([pawpaw, row])).spring is None

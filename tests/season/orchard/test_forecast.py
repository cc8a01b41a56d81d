"""What is expected of the practice season's rows, and what changes it."""

from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.orchard import FROST_ID, DayWeather, FrostDates, Row, Walk, weather_id
from ripenroom.season.crop_kinds import crops_of
from ripenroom.season.orchard.believed import belief_anew, orchard_belief, sightings
from ripenroom.season.orchard.forecast import SHOWN_DAYS, orchard_forecast
from ripenroom.season.orchard.orchard_types import NO_FRUIT, FruitRange, RowForecast
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState


@pytest.fixture(scope="module")
def state() -> SeasonState:
    """The practice season at its own moment."""
    book = demo_book()
    assert book.season.practice_now is not None
    zone = ZoneInfo(book.season.zone)
    return SeasonState(book, crops_of(book).profiles, book.season.practice_now, zone)


def row_named(book: Book, name: str) -> Row:
    """A row by its name."""
    return next(row for row in book.rows.values() if row.name == name)


def told(state: SeasonState, name: str) -> RowForecast:
    """What is expected of a row."""
    found = orchard_forecast(state).of_row(row_named(state.book, name).id)
    assert found is not None
    return found


def test_every_counted_row_is_told_of(state: SeasonState) -> None:
    forecast = orchard_forecast(state)
    book = state.book
    counted = {row.id for row in book.rows.values() if row.fruit_on_trees or row.branch_counts}
    assert {row.row_id for row in forecast.rows} == counted
    assert {row_id for row_id, _ in forecast.left_out} == set(book.rows) - counted
    assert forecast.on == state.today
    for row in forecast.rows:
        assert row.days == tuple(state.today + timedelta(days=n) for n in range(SHOWN_DAYS))
        days = (*row.ready, *row.picks, *row.picked_by, *row.lost)
        every = (row.hanging, row.frost_reaches, *days)
        assert all(0.0 <= each.low <= each.mid <= each.high for each in every)
        lost = [each.mid for each in row.lost]
        assert lost[0] == 0.0
        assert lost == sorted(lost)
        assert row.by(row.days[3]).mid == pytest.approx(sum(p.mid for p in row.picks[:4]))
        assert row.by(row.days[0] - timedelta(days=1)) == NO_FRUIT
        assert row.by(row.days[-1] + timedelta(days=9)) == row.picked_by[-1]
        assert row.by_heat
    assert forecast.frost is not None
    assert len(forecast.frost.chance) == SHOWN_DAYS


def test_rows_of_a_cultivar_together_are_surer_than_one_by_one(state: SeasonState) -> None:
    forecast = orchard_forecast(state)
    middle = row_named(state.book, "Middle row 1").cultivar_id
    (together,) = (each for each in forecast.cultivars if each.cultivar_id == middle)
    rows = [row for row in forecast.rows if state.book.rows[row.row_id].cultivar_id == middle]
    assert len(rows) == 2
    for day, count in enumerate(together.picked_by):
        assert count.mid == pytest.approx(sum(row.picked_by[day].mid for row in rows))
    for day in (0, 7):
        widths = [row.picked_by[day].high - row.picked_by[day].low for row in rows]
        width = together.picked_by[day].high - together.picked_by[day].low
        assert max(widths) < width < sum(widths)


def test_the_row_that_loses_most_before_its_next_walk_is_first(state: SeasonState) -> None:
    rows = orchard_forecast(state).rows
    soon = [row.lost[min(7, max(1, round(min(row.walk_every_days, 7.0))))].mid for row in rows]
    walked = [at for at, row in zip(soon, rows, strict=True) if np.isfinite(row.walk_every_days)]
    assert walked == sorted(walked, reverse=True)


def test_a_row_that_is_picked_out_has_nothing_left_and_a_late_one_most(state: SeasonState) -> None:
    assert told(state, "East row 1").hanging.high < 10.0
    late = told(state, "Wall row")
    assert late.hanging.mid > 100.0
    assert late.ready[7].mid > late.ready[0].mid


def test_a_walk_that_finds_all_hard_puts_the_row_off(state: SeasonState) -> None:
    row = row_named(state.book, "Wall row")
    before = told(state, "Wall row").ready[3].mid
    at = state.now - timedelta(hours=1)
    hard = Walk(id="w", row_id=row.id, at=at, feel_counts=(30, 0, 0, 0, 0))
    soft = replace(hard, feel_counts=(8, 12, 8, 2, 0))
    assert told(state.with_changes([hard]), "Wall row").ready[3].mid < 0.9 * before
    assert told(state.with_changes([soft]), "Wall row").ready[3].mid > 1.1 * before
    ahead = replace(hard, at=state.now + timedelta(hours=1))
    assert told(state.with_changes([ahead]), "Wall row").ready[3].mid == pytest.approx(
        before, rel=0.01
    )


def test_what_is_picked_no_longer_hangs(state: SeasonState) -> None:
    row = row_named(state.book, "Wall row")
    before = told(state, "Wall row")
    pick = Batch(
        id="b",
        code="P-1001-9",
        crop="pawpaw",
        picked_at=state.now - timedelta(minutes=30),
        row_id=row.id,
        cultivar_id=row.cultivar_id,
        count=30,
        feel_counts=(0, 20, 10, 0, 0),
    )
    after = told(state.with_changes([pick]), "Wall row")
    assert before.hanging.mid - after.hanging.mid == pytest.approx(30.0, abs=20.0)
    assert after.ready[0].mid < before.ready[0].mid
    # What only came of sorting an old pick again is no pick.
    sorted_again = replace(pick, split_from="old")
    same = told(state.with_changes([sorted_again]), "Wall row")
    assert same.hanging.mid == pytest.approx(before.hanging.mid, rel=0.01)


def test_batches_of_one_day_are_one_pick(state: SeasonState) -> None:
    orchard = orchard_belief(state)
    assert orchard is not None
    seen = sightings(state, orchard.of)
    picks = seen.picked.sum(axis=1) + seen.picked_unfelt > 0.0
    number = [row.facts.row.name for row in orchard.of.rows].index("Middle row 2")
    days = {
        batch.picked_at.astimezone(state.zone).date() for batch in orchard.of.rows[number].picks
    }
    assert picks[seen.row == number].sum() == len(days) < len(orchard.of.rows[number].picks)


def test_asked_again_it_is_the_same_and_after_a_walk_as_if_asked_the_first_time(
    state: SeasonState,
) -> None:
    first = orchard_belief(state)
    assert orchard_belief(replace(state)) is first
    assert first is not None
    row = row_named(state.book, "Wall row")
    more = state.with_changes(
        [Walk(id="w", row_id=row.id, at=state.now, feel_counts=(20, 8, 2, 0, 0))]
    )
    warm, cold = orchard_belief(more), belief_anew(more)
    assert orchard_belief(replace(state)) is first, "the walk undone, it is known as it was"
    assert warm is not None
    assert cold is not None
    for of in ("mean", "covariance", "points", "weight", "kept"):
        assert (getattr(warm.belief, of) == getattr(cold.belief, of)).all()
    assert (warm.belief.cultivars.sd == cold.belief.cultivars.sd).all()
    assert (warm.belief.mean != first.belief.mean).any()


def test_without_weather_the_calendar_serves(state: SeasonState) -> None:
    book = state.book
    none = state.with_changes([], [*book.weather.values(), *book.monthly_normals.values()])
    late = told(none, "Wall row")
    assert not late.by_heat
    months = told(state.with_changes([], list(book.weather.values())), "Wall row")
    assert months.by_heat
    assert months.by_months
    assert not told(state, "Wall row").by_months
    assert late.hanging.mid > 100.0


def test_a_cold_week_puts_picks_off(state: SeasonState) -> None:
    cold = [
        DayWeather(id=weather_id(on), on=on, min_c=2.0, max_c=9.0, source="forecast")
        for on in (state.today + timedelta(days=n) for n in range(1, 8))
    ]
    usual, later = told(state, "Wall row"), told(state.with_changes(cold), "Wall row")
    assert later.ready[6].mid < usual.ready[6].mid
    # Fruit that does not move on is not lost either.
    assert later.lost[6].mid < usual.lost[6].mid


def test_a_row_whose_bloom_nobody_noted(state: SeasonState) -> None:
    row = row_named(state.book, "Wall row")
    unknown = told(state.with_changes([replace(row, bloomed_on=None)]), "Wall row")
    known = told(state, "Wall row")
    assert unknown.hanging.mid == pytest.approx(known.hanging.mid, rel=0.35)


def test_a_row_that_nobody_looked_at_is_told_of_widely(state: SeasonState) -> None:
    row = Row(
        id="new",
        name="New row",
        cultivar_id=row_named(state.book, "Wall row").cultivar_id,
        fruit_on_trees=100,
        bloomed_on=date(2026, 5, 4),
    )
    alone = state.with_changes([row], list(state.book.walks.values()))
    found = orchard_forecast(alone).of_row("new")
    assert found is not None
    assert found.walks == 0
    assert found.ready[10].high - found.ready[10].low > 0.3 * found.hanging.mid
    no_fruit = orchard_forecast(state.with_changes([replace(row, fruit_on_trees=None)]))
    assert ("new", "no fruit counted") in no_fruit.left_out
    no_crop = orchard_forecast(state.with_changes([replace(row, cultivar_id=None)]))
    assert ("new", "no crop") in no_crop.left_out


def test_a_count_without_a_day_does_not_move_on_with_today(state: SeasonState) -> None:
    row = Row(
        id="new",
        name="New row",
        cultivar_id=row_named(state.book, "Wall row").cultivar_id,
        fruit_on_trees=100,
        bloomed_on=date(2026, 5, 4),
    )
    alone = state.with_changes([row], [*state.book.walks.values(), *state.book.batches.values()])
    dated = replace(row, counted_on=state.book.season.first_day)
    hang = []
    for weeks in (0, 3, 6):
        later = replace(alone, now=state.now + timedelta(weeks=weeks))
        found, known = (
            orchard_forecast(later.with_changes([one])).of_row("new") for one in (row, dated)
        )
        assert found is not None
        assert known is not None
        assert found.hanging.mid == pytest.approx(known.hanging.mid, rel=0.01)
        hang.append(found.hanging.mid)
    # Nobody looked, and some of it has fallen.
    assert hang[0] > hang[1] > hang[2]


def test_advice_by_feel(state: SeasonState) -> None:
    advice = {each.feel: each for each in told(state, "Wall row").by_feel}
    assert advice["hard"].now < 0.4 < advice["slight give"].now < advice["gives"].now
    assert advice["hard"].later > advice["hard"].now
    assert advice["soft"].lost > advice["gives"].lost
    assert "too soft" not in advice


def frost_of(state: SeasonState) -> FrostDates:
    """The season's frost dates."""
    return state.book.frost_dates[FROST_ID]


def test_typed_dates_come_back_where_no_night_is_forecast(state: SeasonState) -> None:
    nights = [w for w in state.book.weather.values() if w.source == "forecast"]
    frost = orchard_forecast(state.with_changes([], nights)).frost
    assert frost is not None
    known = frost_of(state)
    assert known.tenth_on is not None
    assert known.even_on is not None
    assert frost.tenth_on is not None
    assert frost.even_on is not None
    assert abs((frost.tenth_on - known.tenth_on).days) <= 1
    assert abs((frost.even_on - known.even_on).days) <= 1
    assert frost.chance[0] == pytest.approx(0.0, abs=2e-3)


def night(on: date, low_c: float, source: str = "forecast") -> DayWeather:
    """A night's lowest temperature."""
    return DayWeather(id=weather_id(on), on=on, min_c=low_c, source=source)  # type: ignore[arg-type]


def test_a_forecast_frost_is_taken_for_what_it_says(state: SeasonState) -> None:
    on = state.today + timedelta(days=3)
    usual = orchard_forecast(state).frost
    cold = state.with_changes([night(on, -4.0)])
    frost = orchard_forecast(cold).frost
    assert usual is not None
    assert frost is not None
    assert usual.by(on) < 0.05
    assert 0.5 < frost.by(on) < 1.0
    assert frost.tenth_on == frost.even_on == on
    assert (
        told(cold, "Wall row").frost_reaches.mid > 5.0 + told(state, "Wall row").frost_reaches.mid
    )


def test_after_a_frost_all_is_down_within_four_days(state: SeasonState) -> None:
    came = state.with_changes([night(state.today - timedelta(days=1), -1.0, "typed")])
    frost = orchard_forecast(came).frost
    assert frost is not None
    assert frost.came_on == state.today - timedelta(days=1)
    usual, late = told(state, "Wall row"), told(came, "Wall row")
    assert late.hanging.mid == pytest.approx(0.75 * usual.hanging.mid, rel=0.05)
    assert late.ready[3] == FruitRange(0.0, 0.0, 0.0)
    # While it falls the row is picked every day.
    assert all(count.mid > 0.0 for count in late.picks[:3])
    assert late.lost[4].mid == pytest.approx(late.hanging.mid)
    hard = came.with_changes([replace(frost_of(came), frost_c=-2.2)])
    assert (
        told(hard.with_changes([night(came.today, -3.0, "typed")]), "Wall row").ready[1].mid == 0.0
    )
    # A cold night of the spring before is none of this autumn's.
    spring = state.with_changes([night(date(2026, 4, 20), -1.0, "typed")])
    frost = orchard_forecast(spring).frost
    assert frost is not None
    assert frost.came_on is None


def test_first_frosts_of_past_years(state: SeasonState) -> None:
    days = (date(2021, 10, 20), date(2022, 10, 28), date(2023, 10, 12), date(2024, 2, 29))
    known = replace(frost_of(state), tenth_on=None, even_on=None, first_frosts=days[:3])
    frost = orchard_forecast(state.with_changes([known])).frost
    assert frost is not None
    assert frost.even_on is not None
    assert date(2026, 10, 15) < frost.even_on < date(2026, 10, 26)
    leap = replace(known, first_frosts=days)
    assert orchard_forecast(state.with_changes([leap])).frost is not None
    none = orchard_forecast(state.with_changes([], [frost_of(state)]))
    assert none.frost is None
    assert all(row.frost_reaches.high == 0.0 for row in none.rows)


def seen_later(state: SeasonState, days: int) -> SeasonState:
    """The same season so many days later."""
    return replace(state, now=state.now + timedelta(days=days))


def test_how_cold_the_night_was_says_how_much_falls(state: SeasonState) -> None:
    usual = told(state, "Wall row").hanging.mid
    yesterday = state.today - timedelta(days=1)
    for low_c, left in ((-1.0, 0.75), (-6.0, 0.0)):
        came = state.with_changes([night(yesterday, low_c, "typed")])
        assert told(came, "Wall row").hanging.mid == pytest.approx(left * usual, rel=0.05)
    # A hard night after a light one takes the rest.
    both = [night(state.today - timedelta(days=n), c, "typed") for n, c in ((2, -0.5), (1, -4.0))]
    frost = orchard_forecast(state.with_changes(both)).frost
    assert frost is not None
    assert [n.min_c for n in frost.nights] == [-0.5, -4.0]
    assert frost.left[0] == 0.0


def test_a_night_that_was_filled_in_is_no_frost(state: SeasonState) -> None:
    filled = state.with_changes([night(state.today - timedelta(days=1), -1.0, "filled")])
    frost = orchard_forecast(filled).frost
    assert frost is not None
    assert frost.nights == ()


def test_what_still_hangs_after_a_frost_is_believed(state: SeasonState) -> None:
    row, now = row_named(state.book, "Wall row"), state.now + timedelta(days=8)
    came = [night(state.today + timedelta(days=1), -0.5, "typed")]
    later = replace(state.with_changes(came), now=now)
    hung = told(seen_later(state, 8), "Wall row").hanging.mid
    assert told(later, "Wall row").hanging.mid == 0.0
    walk = Walk(id="w", row_id=row.id, at=now, feel_counts=(20, 8, 2, 0, 0), on_ground=0)
    assert told(later.with_changes([walk]), "Wall row").hanging.mid == pytest.approx(hung, rel=0.1)
    # What lies below the trees has fallen: of each ten that fall seven are found.
    half = replace(walk, on_ground=round(0.35 * hung))
    left = told(later.with_changes([half]), "Wall row").hanging.mid
    assert left == pytest.approx(0.5 * hung, rel=0.1)
    # What is picked then no longer hangs, and another frost takes the rest.
    pick = Batch(
        id="b", code="P-1009-9", crop="pawpaw", picked_at=now, row_id=row.id,
        cultivar_id=row.cultivar_id, count=40,
    )  # fmt: skip
    picked = told(later.with_changes([half, pick]), "Wall row").hanging.mid
    assert picked == pytest.approx(left - 40.0, rel=0.1)
    again = later.with_changes([half, night(later.today, -5.0, "typed")])
    assert told(again, "Wall row").ready[1].mid == 0.0


def test_what_a_frost_brings_down_teaches_nothing(state: SeasonState) -> None:
    row, now = row_named(state.book, "Wall row"), state.now + timedelta(days=3)
    came = replace(
        state.with_changes([night(state.today + timedelta(days=1), -3.0, "typed")]), now=now
    )
    ground = Walk(id="w", row_id=row.id, at=now, on_ground=150)
    before, after = orchard_belief(came), orchard_belief(came.with_changes([ground]))
    assert before is not None
    assert after is not None
    assert np.array_equal(before.belief.cultivars.mean, after.belief.cultivars.mean)


def test_without_dates_weather_and_forecast_nights_still_tell_of_frost(state: SeasonState) -> None:
    undated = state.with_changes([], [frost_of(state)])
    tomorrow, yesterday = (state.today + timedelta(days=n) for n in (1, -1))
    frost = orchard_forecast(undated.with_changes([night(tomorrow, -5.0)])).frost
    assert frost is not None
    assert not frost.dated
    # The forecast is off by 2 K: 0 C is 2.5 sd above it.
    assert frost.by(tomorrow) == pytest.approx(0.9938, abs=1e-3)
    came = orchard_forecast(undated.with_changes([night(yesterday, -5.0, "typed")])).frost
    assert came is not None
    assert came.came_on == yesterday
    spring = night(date(2026, 4, 24), -5.0, "typed")
    assert orchard_forecast(undated.with_changes([spring])).frost is None


@pytest.mark.parametrize("on", [date(2025, 11, 1), date(2026, 3, 1), date(2026, 7, 1)])
def test_from_any_day_before_it_the_autumn_is_the_seasons(state: SeasonState, on: date) -> None:
    frost = orchard_forecast(seen_later(state, (on - state.today).days)).frost
    assert frost is not None
    assert frost.tenth_on is not None
    assert abs((frost.tenth_on - date(2026, 10, 24)).days) <= 1
    assert sum(frost.chance) < 0.01


def test_two_days_of_other_years_are_those_of_this_autumn(state: SeasonState) -> None:
    known = replace(frost_of(state), tenth_on=date(2019, 12, 28), even_on=date(2020, 1, 12))
    nights = [w for w in state.book.weather.values() if w.source == "forecast"]
    frost = orchard_forecast(state.with_changes([known], nights)).frost
    assert frost is not None
    assert frost.tenth_on is not None
    assert frost.even_on is not None
    assert abs((frost.tenth_on - date(2026, 12, 28)).days) <= 1
    assert abs((frost.even_on - date(2027, 1, 12)).days) <= 1


def test_a_frost_that_nobody_would_have_told_of_may_have_come(state: SeasonState) -> None:
    late = orchard_forecast(seen_later(state, 45)).frost
    assert late is not None
    assert late.may_have_come == pytest.approx(0.67, abs=0.1)
    # Who walks a row that day would have said so.
    row = row_named(state.book, "Wall row")
    after = seen_later(state, 45)
    walk = Walk(id="w", row_id=row.id, at=after.now, feel_counts=(9, 3, 0, 0, 0))
    walked = orchard_forecast(after.with_changes([walk])).frost
    assert walked is not None
    assert walked.may_have_come == 0.0
    assert walked.by(after.today) == 0.0

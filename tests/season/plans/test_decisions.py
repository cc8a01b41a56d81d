"""Deciding otherwise than the plan: evenings, market days, places."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from ripenroom.records.batch import Move
from ripenroom.records.market import MarketDay, Pin
from ripenroom.season.plans.decisions import (
    DecisionOptions,
    Unpinnable,
    as_pin,
    destinations,
    next_market,
    options_of,
    pulled,
    shifted,
    sold_on,
    unpinnable,
    waits_in,
)
from ripenroom.season.plans.plan import PlannedItinerary, PlannedMove
from ripenroom.season.season import Season
from tests.season.farm import NOW, batch_and_move, book_of, farm_records
from tests.season.plans.planned import planned

BOOK = book_of(*farm_records(), *batch_and_move(0))


def evening(days: int) -> datetime:
    return (NOW + timedelta(days=days)).replace(hour=18)


def pulled_line(batch_id: str, days: int, **given: Any) -> PlannedItinerary:
    """Crates that are pulled on an evening for the market in two days."""
    steps = (PlannedMove(evening(days), "shelf"),)
    facts: dict[str, Any] = {"crates": 1, "pull_at": evening(days), "to_place_id": "shelf"}
    facts |= {"market_day_id": "day-2", "steps": steps}
    return planned(batch_id, **{**facts, **given})


def market(days: int) -> MarketDay:
    starts = (NOW + timedelta(days=days)).astimezone(UTC)
    return MarketDay(id=f"day-{days}", name=f"In {days} days", kind="market", starts_at=starts)


OPTIONS = DecisionOptions(tuple(evening(n) for n in range(9)), (market(2), market(5), market(9)))
PIN = Pin(
    id="pin", batch_id="b", crates=2, pull_at=evening(1), place_id="shelf", market_day_id="day-5"
)


def test_a_planned_pull_becomes_a_pin_that_keeps_it() -> None:
    pin = as_pin(pulled_line("batch 0", 1, crates=3), BOOK)
    assert (pin.batch_id, pin.crates, pin.market_day_id) == ("batch 0", 3, "day-2")
    assert (pin.pull_at, pin.place_id) == (evening(1), "shelf")


def test_crates_that_stay_are_pinned_where_they_are() -> None:
    pin = as_pin(planned("batch 0", 1), BOOK)
    assert (pin.pull_at, pin.place_id) == (None, None)


def test_a_move_that_is_written_down_is_left_alone() -> None:
    moved = BOOK.with_changes(
        [Move(id="m", batch_id="batch 0", at=evening(1).astimezone(UTC), place_id="shelf")]
    )
    pin = as_pin(pulled_line("batch 0", 1), moved)
    assert (pin.pull_at, pin.place_id) == (None, None)


def test_two_moves_of_the_plan_are_more_than_a_pin_keeps() -> None:
    book, once = BOOK, pulled_line("batch 0", 2)
    twice = replace(once, steps=(PlannedMove(evening(1), "cellar"), *once.steps))
    first_made = Move(id="m", batch_id="batch 0", at=evening(1), place_id="cellar")
    assert unpinnable(twice, book) is Unpinnable.MOVES_TWICE
    assert unpinnable(once, book) is None
    assert unpinnable(twice, book.with_changes([first_made])) is None
    assert unpinnable(replace(twice, pin_id="pin"), book) is None


@pytest.mark.parametrize(
    ("given", "because"),
    [
        ({"expected_pick_id": "e"}, Unpinnable.EXPECTED),
        ({"packed": True, "pin_id": "pin"}, Unpinnable.PACKED),
        ({"second_grade": True}, Unpinnable.SECOND_GRADE),
        ({"to_place_id": None, "market_day_id": None}, Unpinnable.CLEARED),
    ],
)
def test_what_cannot_be_pinned_as_it_is_says_why(
    given: dict[str, Any], because: Unpinnable
) -> None:
    assert unpinnable(replace(pulled_line("batch 0", 2), **given), BOOK) is because


def test_a_line_that_follows_a_pin_is_that_pin() -> None:
    book = BOOK.with_changes([PIN])
    assert as_pin(pulled_line("b", 1, pin_id="pin"), book) is PIN


def test_a_pull_snaps_to_the_nearest_evening_in_time_for_the_market() -> None:
    assert pulled(PIN, evening(3) + timedelta(hours=7), OPTIONS).pull_at == evening(3)
    assert pulled(PIN, evening(3) - timedelta(hours=14), OPTIONS).pull_at == evening(2)
    assert pulled(PIN, evening(8), OPTIONS).pull_at == evening(4)
    assert pulled(PIN, NOW - timedelta(days=9), OPTIONS).pull_at == evening(0)


@pytest.mark.parametrize(("days", "found"), [(-1, 0), (1, 2), (-9, 0), (9, 4)])
def test_a_pull_is_shifted_as_far_as_there_are_evenings(days: int, found: int) -> None:
    assert shifted(PIN, days, OPTIONS).pull_at == evening(found)


def test_crates_that_are_not_pulled_stay_so() -> None:
    stays = Pin(id="pin", batch_id="b", crates=2, market_day_id="day-5")
    assert shifted(stays, 1, OPTIONS) == stays
    assert pulled(stays, evening(2), OPTIONS) == stays


def test_an_earlier_market_day_puts_the_pull_forward() -> None:
    late = shifted(PIN, 9, OPTIONS)
    sold = sold_on(late, OPTIONS.market_days[0], OPTIONS)
    assert (sold.market_day_id, sold.pull_at) == ("day-2", evening(1))
    assert sold_on(PIN, OPTIONS.market_days[2], OPTIONS).pull_at == PIN.pull_at


def test_where_no_evening_is_left_before_a_market_day_crates_are_not_pulled() -> None:
    soon = DecisionOptions((evening(3),), (market(2), market(5)))
    sold = sold_on(shifted(PIN, 2, soon), soon.market_days[0], soon)
    assert (sold.pull_at, sold.place_id) == (None, None)


def test_market_days_are_gone_through_to_the_first_and_last() -> None:
    assert next_market(PIN, -1, OPTIONS).market_day_id == "day-2"
    assert next_market(PIN, 1, OPTIONS).market_day_id == "day-9"
    assert next_market(PIN, 5, OPTIONS).market_day_id == "day-9"
    unsold = Pin(id="pin", batch_id="b", crates=1)
    assert next_market(unsold, 1, OPTIONS).market_day_id == "day-2"
    assert next_market(unsold, -1, OPTIONS).market_day_id == "day-9"
    assert next_market(unsold, 1, DecisionOptions((), ())) == unsold


def test_another_place_keeps_the_evening_or_takes_the_first() -> None:
    assert waits_in(PIN, "cold", OPTIONS).pull_at == PIN.pull_at
    stays = waits_in(PIN, None, OPTIONS)
    assert (stays.pull_at, stays.place_id) == (None, None)
    again = waits_in(stays, "cold", OPTIONS)
    assert (again.pull_at, again.place_id) == (evening(0), "cold")
    assert waits_in(stays, "cold", DecisionOptions((), ())).place_id is None


def test_the_season_offers_evenings_and_market_days_that_lie_ahead(
    practice: Season,
) -> None:
    season = practice
    options = options_of(season.book, season.now(), season.zone)
    assert options.market_days
    assert all(day.starts_at > season.now() for day in options.market_days)
    assert all(one.hour == 18 and one > season.now() for one in options.evenings)
    assert options.evenings[0].date() == season.now().date()
    assert options.evenings[-1] < options.market_days[-1].starts_at


def test_a_bin_in_the_field_is_no_place_to_plan_for(practice: Season) -> None:
    places = destinations(practice.book, None)
    assert places
    assert all(place.kind != "field bin" for place in places)
    assert len(destinations(practice.book, places[0].id)) == len(places) - 1

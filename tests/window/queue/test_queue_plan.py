"""A plan as the queue shows it."""

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, timedelta

import pytest

from ripenroom.records.batch import Move
from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick
from ripenroom.season.moments import to_hours
from ripenroom.window.queue.queue_plan import ItineraryEnd, planned_of
from tests.window.queue.conftest import NOW, buyers_days, line, plan_of, pulled_line

DAYS = {2: "Village market", 9: "Harvest fair"}


@pytest.fixture
def book(make_book: Callable[..., Book]) -> Book:
    return make_book(2, DAYS)


def test_a_way_tells_where_it_waits_when_it_is_pulled_and_sold(book: Book) -> None:
    planned = planned_of(plan_of(pulled_line("batch-0", 1)), book, buyers_days)
    [way] = planned.ways["batch-0"]
    pull_h = to_hours(NOW.replace(hour=18) + timedelta(days=1))
    assert way.fate is ItineraryEnd.SOLD
    assert way.waits == ((-math.inf, "Cold"), (pull_h, "Cell."))
    assert way.pull_h == pull_h
    assert way.ends_h == to_hours(NOW + timedelta(days=2))
    assert not way.pinned
    assert not way.written


def test_crates_come_to_their_end_in_one_of_four_ways(book: Book) -> None:
    ends = {
        ItineraryEnd.SOLD: line("batch-0"),
        ItineraryEnd.LEFT: line("batch-0", market_day_id=None),
        ItineraryEnd.CLEARED: line("batch-0", market_day_id=None, to_place_id=None),
        ItineraryEnd.SECOND_GRADE: pulled_line("batch-0", 1, market_day_id=None, second_grade=True),
    }
    for fate, planned_line in ends.items():
        [way] = planned_of(plan_of(replace(planned_line, steps=())), book, buyers_days).ways[
            "batch-0"
        ]
        assert way.fate is fate


def test_ways_of_a_batch_are_in_the_order_in_which_they_are_sold(book: Book) -> None:
    left = line("batch-0", market_day_id=None)
    late, soon = line("batch-0", market_day_id="day-9"), pulled_line("batch-0", 1)
    planned = planned_of(plan_of(left, late, soon), book, buyers_days)
    assert [way.line for way in planned.ways["batch-0"]] == [soon, late, left]


def test_a_move_that_is_written_down_is_not_the_plans(book: Book) -> None:
    at = (NOW + timedelta(days=1)).replace(hour=18).astimezone(UTC)
    moved = book.with_changes([Move(id="m", batch_id="batch-0", at=at, place_id="shelf")])
    [way] = planned_of(plan_of(pulled_line("batch-0", 1)), moved, buyers_days).ways["batch-0"]
    assert way.written


@pytest.mark.parametrize(
    "gone",
    [
        line("no such batch"),
        line("batch-0", market_day_id="no such day"),
        line("batch-0", from_place_id="no such place"),
        line("", expected_pick_id="no such pick"),
    ],
)
def test_what_speaks_of_records_that_are_gone_is_left_out(book: Book, gone: object) -> None:
    planned = planned_of(plan_of(gone, line("batch-1")), book, buyers_days)  # type: ignore[arg-type]
    assert list(planned.ways) == ["batch-1"]
    assert not planned.expected_ways


def test_an_expected_pick_has_ways_of_its_own(book: Book) -> None:
    pick = ExpectedPick(id="pick", crop="pawpaw", on=date(2026, 9, 25), count=40, place_id="cold")
    planned = planned_of(
        plan_of(line("", expected_pick_id="pick")), book.with_changes([pick]), buyers_days
    )
    [way] = planned.expected_ways["pick"]
    assert way.fate is ItineraryEnd.SOLD
    assert not planned.ways

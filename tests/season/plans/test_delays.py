"""What is lost if a planned move is not made: the same as planning that other move would expect."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from ripenroom.planning.choices import LEAST_SHARE
from ripenroom.records.batch import Move
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.plans.delays import Delay, if_left
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState
from tests.season.plans.planning import make_plan


@pytest.fixture(scope="module")
def book() -> Book:
    return demo_book()


@pytest.fixture(scope="module")
def plan(book: Book) -> Plan:
    return planned(book)


def planned(book: Book) -> Plan:
    assert book.season.practice_now is not None
    zone = ZoneInfo(book.season.zone)
    return make_plan(SeasonState(book, shipped_profiles(), book.season.practice_now, zone))


def of(book: Book, lines: list[PlannedItinerary]) -> dict[PlannedItinerary, Delay]:
    assert book.season.practice_now is not None
    zone = ZoneInfo(book.season.zone)
    return if_left(SeasonState(book, shipped_profiles(), book.season.practice_now, zone), lines)


def proposed(book: Book, plan: Plan) -> list[PlannedItinerary]:
    assert book.season.practice_now is not None
    ahead = {m.batch_id for m in book.moves.values() if m.at > book.season.practice_now}
    return [
        line
        for line in plan.lines
        if line.steps and line.market_day_id and line.batch_id not in ahead
    ]


def test_lines_that_stay_or_are_moved_anyway_have_none(book: Book, plan: Plan) -> None:
    found = of(book, list(plan.lines))
    assert found
    assert set(found) == {line for line in proposed(book, plan) if line.batch_id}


def test_a_move_written_down_a_day_later_is_expected_to_do_as_said(book: Book, plan: Plan) -> None:
    line = next(
        line
        for line, left in of(book, proposed(book, plan)).items()
        # Where nothing would be ready a day later, the other plan sells nothing at all.
        if left.later and len(line.steps) == 1
    )
    (left,) = of(book, [line]).values()
    at, place_id = line.steps[0]
    move = Move(id="later", batch_id=line.batch_id, at=at + timedelta(days=1), place_id=place_id)
    alone = replace(
        book,
        batches={line.batch_id: book.batches[line.batch_id]},
        expected_picks={},
        pins={},
        moves={m.id: m for m in (*book.moves.values(), move) if m.batch_id == line.batch_id},
        wants={k: w for k, w in book.wants.items() if w.market_day_id == line.market_day_id},
    )
    shares = {other.expected_ready_share for other in planned(alone).lines if other.market_day_id}
    (share,) = shares
    assert share == pytest.approx(left.later, abs=1e-9)


def test_after_the_market_has_begun_there_is_no_later(book: Book, plan: Plan) -> None:
    line = next(line for line in proposed(book, plan) if line.batch_id and len(line.steps) == 1)
    assert line.market_day_id is not None
    day = book.market_days[line.market_day_id]
    late = line.steps[0]._replace(at=day.starts_at - timedelta(hours=2))
    (left,) = of(book, [replace(line, steps=(late,), pull_at=late.at)]).values()
    assert left.later is None
    assert 0.0 <= left.never <= 1.0


def moved_twice(book: Book, plan: Plan) -> PlannedItinerary:
    """A line of the plan that is put elsewhere for two days first, and is in time all the same."""
    for line in proposed(book, plan):
        if not line.batch_id or len(line.steps) != 1:
            continue
        at, place_id = line.steps[0]
        between = next(
            key for key in sorted(book.places) if key not in (line.from_place_id, place_id)
        )
        last = line.steps[0]._replace(at=at + timedelta(days=2))
        first = line.steps[0]._replace(place_id=between)
        twice = replace(line, steps=(first, last), pull_at=last.at)
        day = book.market_days.get(line.market_day_id or "")
        if day is None or day.starts_at - last.at < timedelta(hours=6):
            continue
        (left,) = of(book, [twice]).values()
        if left.later is not None and left.later > LEAST_SHARE:
            return twice
    raise AssertionError("No line of the plan could be moved twice.")


def test_a_first_move_a_day_later_leaves_the_second_as_it_is(book: Book, plan: Plan) -> None:
    line = moved_twice(book, plan)
    (left,) = of(book, [line]).values()
    later = line.steps[0]._replace(at=line.steps[0].at + timedelta(days=1)), line.steps[1]
    moves = [
        Move(id=f"m{n}", batch_id=line.batch_id, at=at, place_id=place_id)
        for n, (at, place_id) in enumerate(later)
    ]
    alone = replace(
        book,
        batches={line.batch_id: book.batches[line.batch_id]},
        expected_picks={},
        pins={},
        second_grades={},
        moves={m.id: m for m in (*book.moves.values(), *moves) if m.batch_id == line.batch_id},
        wants={k: w for k, w in book.wants.items() if w.market_day_id == line.market_day_id},
    )
    (share,) = {x.expected_ready_share for x in planned(alone).lines if x.market_day_id}
    assert share == pytest.approx(left.later, abs=1e-9)


def test_nothing_asked_nothing_said(book: Book) -> None:
    assert of(book, []) == {}

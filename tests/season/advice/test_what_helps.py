"""What would help: farms that plainly lack one thing."""

import threading
from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from functools import cache

import pytest

from ripenroom.planning.evaluate import outcome
from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay, SecondGrade
from ripenroom.season.advice.advice import Help, HelpKind
from ripenroom.season.advice.shared_itineraries import paid_ground, worth
from ripenroom.season.advice.what_helps import what_helps
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.advice.test_set_points import CROPS, WARM, ZONE, farm
from tests.season.farm import NOW, batch_and_move, market
from tests.worked_out import advised_once


def helps(book: Book) -> dict[HelpKind, Help]:
    """The best help of each kind."""
    return best_of_each(what_helps(SeasonState(book, CROPS, NOW, ZONE)))


def gained(after: Book, before: Book) -> float:
    """What the best plan gains, in terms of what plans like the one before come to over truths."""
    laid = paid_ground(SeasonState(before, CROPS, NOW, ZONE))
    found = worth(laid.problem)
    comes_to = outcome(laid.problem, found.crates, laid.prospects, laid.lines.crop).net
    assert comes_to != pytest.approx(found.value_minor, rel=1e-3)
    more = (
        worth(paid_ground(SeasonState(after, CROPS, NOW, ZONE)).problem).value_minor
        - found.value_minor
    )
    return more * comes_to / found.value_minor


@cache
def glut() -> Book:
    """Far more fruit than two market days take; the nearer day is in four days."""
    day, wants = market(4.0, {"pawpaw": 60})
    ripe = batch_and_move(2, WARM, count=300, picked_at=NOW - timedelta(days=2))
    return farm(3.0, 20.0, *ripe, day, *wants, days_ahead=8.0, wanted=60)


@cache
def what_helps_a_glut() -> tuple[Help, ...]:
    return tuple(what_helps(SeasonState(glut(), CROPS, NOW, ZONE)))


def best_of_each(found: Iterable[Help]) -> dict[HelpKind, Help]:
    best: dict[HelpKind, Help] = {}
    for help_ in found:
        best.setdefault(help_.kind, help_)
    return best


@pytest.mark.long
def test_of_much_fruit_more_would_be_sold_if_more_were_wanted() -> None:
    book, found = glut(), best_of_each(what_helps_a_glut())
    assert {HelpKind.WANTED, HelpKind.MARKET_DAY, HelpKind.SECOND_GRADE} <= set(found)
    more = found[HelpKind.WANTED]
    want = next(w for w in book.wants.values() if w.market_day_id == more.market_day_id)
    asked = book.with_changes([replace(want, count=want.count + more.amount)])
    assert more.value_minor == pytest.approx(gained(asked, book), rel=1e-6)
    assert 0.0 < more.fruit <= 1.25 * more.amount + 1e-6
    assert more.crop == "pawpaw"


def test_an_extra_market_day_is_like_the_next_and_on_a_day_that_has_none() -> None:
    book = glut()
    extra = best_of_each(what_helps_a_glut())[HelpKind.MARKET_DAY]
    like = book.market_days[extra.like_id or ""]
    assert like.id == "market 4.0"
    assert extra.until is not None
    assert extra.until.date() not in {day.starts_at.date() for day in book.market_days.values()}
    assert NOW < extra.until <= NOW + timedelta(days=11)
    day: MarketDay = replace(like, id="extra", starts_at=extra.until)
    wants = [
        replace(w, id="extra", market_day_id="extra")
        for w in book.wants.values()
        if w.market_day_id == like.id
    ]
    more = gained(book.with_changes([day, *wants]), book)
    # Itineraries of all the days that are tried are found together: each has a few more of them.
    assert extra.value_minor == pytest.approx(more, rel=0.01)
    assert extra.amount == sum(w.count for w in wants)


def test_an_outlet_for_second_grade_helps_where_there_is_none() -> None:
    soft = batch_and_move(3, WARM, count=200, feel_counts=(0, 0, 0, 4, 16))
    book = glut().with_changes(soft)
    outlet = helps(book)[HelpKind.SECOND_GRADE]
    assert outlet.crop == "pawpaw"
    assert outlet.fruit > 0.0
    assert outlet.price_minor is not None
    taken = SecondGrade(id="pulp", crop="pawpaw", price_minor=outlet.price_minor)
    with_it = book.with_changes([taken])
    assert outlet.value_minor == pytest.approx(gained(with_it, book), rel=1e-6)
    assert HelpKind.SECOND_GRADE not in helps(with_it)


def test_room_helps_where_a_full_room_holds_fruit_back() -> None:
    book = farm(3.0, 20.0, days_ahead=9.0)
    small = replace(book.places[WARM], capacity_crates=2)
    tight = book.with_changes([small])
    room = helps(tight)[HelpKind.ROOM]
    assert room.place_id == WARM
    assert room.until is not None
    assert NOW < room.until < NOW + timedelta(days=9)
    larger = tight.with_changes([replace(small, capacity_crates=2 + room.amount)])
    assert room.value_minor == pytest.approx(gained(larger, tight), rel=0.02)
    assert room.fruit > 0.0
    assert HelpKind.ROOM not in helps(book)


def test_hands_help_where_too_few_crates_can_be_moved() -> None:
    book = farm(3.0, 20.0, days_ahead=9.0)
    short = replace(book, season=replace(book.season, crates_moved_per_evening=1))
    hands = helps(short)[HelpKind.HANDS]
    assert hands.place_id is None
    assert hands.value_minor > 0.0
    assert HelpKind.HANDS not in helps(book)


@advised_once
@pytest.mark.parametrize("farm", ["few", pytest.param("practice", marks=pytest.mark.long)])
def test_gains_are_told_from_the_largest_and_small_ones_left_out(
    farm: str, request: pytest.FixtureRequest
) -> None:
    season: Season = request.getfixturevalue(farm)
    told: list[float] = []
    found = season.ask.what_helps(progress=told.append)
    gains = [help.value_minor for help in found]
    assert gains == sorted(gains, reverse=True)
    assert gains
    assert all(gain > 0.0 for gain in gains)
    assert len([help for help in found if help.kind is HelpKind.MARKET_DAY]) <= 1
    assert told[-1] == pytest.approx(1.0)


def test_asked_again_the_same_helps() -> None:
    found = what_helps_a_glut()
    assert found
    assert tuple(what_helps(SeasonState(glut(), CROPS, NOW, ZONE))) == found


@pytest.mark.long
def test_asked_again_the_same_helps_the_practice_farm(practice: Season) -> None:
    assert what_helps(practice.state) == what_helps(practice.state)


def test_nothing_helps_without_fruit_and_what_is_called_off_has_found_nothing() -> None:
    book = glut()
    assert what_helps(SeasonState(replace(book, batches={}, moves={}), CROPS, NOW, ZONE)) == ()
    cancel = threading.Event()
    cancel.set()
    assert what_helps(SeasonState(book, CROPS, NOW, ZONE), cancel=cancel) == ()

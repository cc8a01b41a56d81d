"""Expected picks as lines."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick
from ripenroom.season.moments import from_hours
from ripenroom.window.queue.batch_order import Filter
from ripenroom.window.queue.expected import expected_of
from tests.window.queue.conftest import CROPS, ZONE

TODAY = date(2026, 9, 24)


def pick(key: str, day: int, crop: str = "pawpaw", place: str = "cold") -> ExpectedPick:
    return ExpectedPick(id=key, crop=crop, on=date(2026, 9, day), count=30, place_id=place)


@pytest.fixture
def book(make_book: Callable[..., Book]) -> Book:
    picks = [pick("late", 30), pick("over", 23), pick("today", 24), pick("pears", 25, "pear")]
    return make_book(1).with_changes([*picks, pick("shelf", 26, place="shelf")])


def ids(book: Book, keep: Filter) -> list[str]:
    return [one.pick_id for one in expected_of(book, TODAY, CROPS, keep, ZONE)]


def test_picks_from_today_on_come_in_their_order(book: Book) -> None:
    assert ids(book, Filter()) == ["today", "pears", "shelf", "late"]


def test_the_word_that_nothing_more_comes_is_no_line(book: Book) -> None:
    over = replace(pick("end", 27), count=0)
    assert ids(book.with_changes([over]), Filter()) == ids(book, Filter())


def test_the_filter_holds_for_them_too(book: Book) -> None:
    assert ids(book, Filter(crop="European pear")) == ["pears"]
    assert ids(book, Filter(place="Cellar shelf")) == ["shelf"]


def test_a_pick_is_drawn_from_noon_of_its_day(book: Book) -> None:
    first = expected_of(book, TODAY, CROPS, Filter(), ZONE)[0]
    noon = from_hours(first.picked_h, ZONE)
    assert (noon.date(), noon.hour) == (TODAY, 12)
    assert (first.crop, first.place, first.count) == ("Pawpaw", "Cold room", 30)

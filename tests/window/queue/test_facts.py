"""What the book says about batches, as columns."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from ripenroom.records.batch import Move
from ripenroom.records.book import Book
from ripenroom.season.moments import to_hours
from ripenroom.window.queue.batch_order import facts_of, place_marks
from tests.window.queue.conftest import CROPS

NOW = datetime(2026, 9, 24, 9, 0, tzinfo=ZoneInfo("America/New_York"))


def test_columns_follow_the_order_asked_for(make_book: Callable[..., Book]) -> None:
    facts = facts_of(make_book(3), ("batch-2", "batch-0"), NOW, CROPS)
    assert facts.codes == ("P-0921-3", "P-0921-1")
    assert facts.crops == ("Pawpaw", "Pawpaw")
    assert facts.places == ("Cold room", "Cold room")


def test_a_move_ahead_is_a_tick_but_not_yet_the_place(make_book: Callable[..., Book]) -> None:
    at = (NOW + timedelta(days=2)).astimezone(UTC)
    book = make_book(1).with_changes([Move(id="pull", batch_id="batch-0", at=at, place_id="shelf")])
    facts = facts_of(book, ("batch-0",), NOW, CROPS)
    assert facts.places == ("Cold room",)
    assert facts.moves["batch-0"] == ((to_hours(at), "Cell."),)
    later = facts_of(book, ("batch-0",), NOW + timedelta(days=3), CROPS)
    assert later.places == ("Cellar shelf",)


def test_first_place_is_no_move(make_book: Callable[..., Book]) -> None:
    assert facts_of(make_book(2), ("batch-0", "batch-1"), NOW, CROPS).moves == {}


def test_no_two_places_have_the_same_mark() -> None:
    names = {str(n): name for n, name in enumerate(["Cold room", "Cellar", "Counter", "Cold room"])}
    marks = place_marks(names)
    assert list(marks.values()) == ["Cold", "Cell.", "Count.", "Cold R"]
    assert len(set(marks.values())) == len(names)


@pytest.mark.parametrize(
    ("name", "mark"),
    [
        ("Cold room", "Cold"),
        ("Counter", "Count."),
        ("Ripening room", "Ripen."),
        ("Kitchen", "Kitch."),
        ("shed", "Shed"),
        ("Aue", "Aue"),
        ("Auauau", "Auau."),
        ("", "?"),
    ],
)
def test_a_mark_calls_its_place_to_mind(name: str, mark: str) -> None:
    assert place_marks({"0": name}) == {"0": mark}


def test_ranks_are_in_the_order_of_names(make_book: Callable[..., Book]) -> None:
    facts = facts_of(make_book(2), ("batch-0", "batch-1"), NOW, CROPS)
    assert facts.crop_rank[1] < facts.crop_rank[0]  # European pear before Pawpaw
    assert facts.place_rank[1] < facts.place_rank[0]  # Cellar shelf before Cold room

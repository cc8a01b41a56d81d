"""What a season of the practice orchard teaches the next."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.records.book import Record
from ripenroom.records.check import TreeLesson
from ripenroom.season.crop_kinds import crops_of
from ripenroom.season.orchard.believed import orchard_belief
from ripenroom.season.orchard.lessons import tree_lessons
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState


@pytest.fixture(scope="module")
def state() -> SeasonState:
    """The practice season at its own moment."""
    book = demo_book()
    assert book.season.practice_now is not None
    zone = ZoneInfo(book.season.zone)
    return SeasonState(book, crops_of(book).profiles, book.season.practice_now, zone)


@pytest.fixture(scope="module")
def lessons(state: SeasonState) -> tuple[TreeLesson, ...]:
    """What that season teaches."""
    return tree_lessons(state)


def test_each_cultivar_that_was_walked_teaches(
    state: SeasonState, lessons: tuple[TreeLesson, ...]
) -> None:
    assert {lesson.cultivar for lesson in lessons} == {
        "Early pawpaws",
        "Middle pawpaws",
        "Late pawpaws",
    }
    by_name = {lesson.cultivar: lesson for lesson in lessons}
    early, late = by_name["Early pawpaws"], by_name["Late pawpaws"]
    assert early.needs_days < late.needs_days
    assert all(lesson.by_heat and lesson.needs_sd < 6.0 for lesson in lessons)
    assert all(lesson.days_off is not None and 0.0 < lesson.days_off < 20.0 for lesson in lessons)
    assert sum(lesson.walks for lesson in lessons) == len(state.book.walks)


def test_the_same_season_gives_the_same_lessons(
    state: SeasonState, lessons: tuple[TreeLesson, ...]
) -> None:
    assert [lesson.id for lesson in lessons] == [
        lesson.id for lesson in tree_lessons(replace(state))
    ]


def test_the_next_season_begins_where_this_one_ended(
    state: SeasonState, lessons: tuple[TreeLesson, ...]
) -> None:
    """With the lessons and nothing seen yet a cultivar is believed near to what it needed, and more
    surely than by the book."""
    book = state.book
    seen: list[Record] = [*book.walks.values(), *book.batches.values()]
    by_book = orchard_belief(state.with_changes([], seen))
    taught = orchard_belief(state.with_changes(lessons, seen))
    after = orchard_belief(state)
    assert by_book is not None
    assert taught is not None
    assert after is not None
    for place, group in enumerate(taught.of.groups):
        book_place = by_book.of.groups.index(group)
        needed = after.belief.cultivars.mean[after.of.groups.index(group), 0]
        off = abs(taught.before.mean[place, 0] - needed)
        assert off < 3.0
        assert off < abs(by_book.before.mean[book_place, 0] - needed)
        assert taught.before.sd[place, 0] < 0.6 * by_book.before.sd[book_place, 0]
        # A season differs from the next, however well the last is known.
        assert taught.before.sd[place, 0] > 4.0


def test_a_row_whose_bloom_is_not_known_teaches_nothing(state: SeasonState) -> None:
    unknown = [replace(row, bloomed_on=None) for row in state.book.rows.values()]
    assert tree_lessons(state.with_changes(unknown)) == ()


def test_lessons_of_another_clock_or_cultivar_are_left_alone(
    state: SeasonState, lessons: tuple[TreeLesson, ...]
) -> None:
    other = [
        replace(lessons[0], id="a", by_heat=False, needs_days=60.0),
        replace(lessons[0], id="b", cultivar="Another", needs_days=60.0),
        replace(lessons[0], id="c", cultivar=None, needs_days=60.0),
    ]
    with_them, without = orchard_belief(state.with_changes(other)), orchard_belief(state)
    assert with_them is not None
    assert without is not None
    assert np.allclose(with_them.before.mean, without.before.mean)

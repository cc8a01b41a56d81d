"""What a season teaches the next."""

import pytest

from ripenroom.season.learning.lessons import lessons_from
from tests.season.learning.checks import FAST, farm, learned


def test_a_lesson_is_what_the_checks_alone_said() -> None:
    book = farm(*FAST)
    found = learned(book)
    rate = found.rate_of("pawpaw", "early")
    assert rate is not None
    lesson = next(x for x in lessons_from(found, book) if x.cultivar == "Early")
    assert lesson.taught_by == book.season.name
    assert lesson.checks == 3
    # Put to what the book says it is what is believed now.
    weight, before = lesson.log_rate_sd**-2, rate.book_log_rate_sd**-2
    assert (weight + before) ** -0.5 == pytest.approx(rate.log_rate_sd)
    assert lesson.log_rate * weight / (weight + before) == pytest.approx(rate.log_rate)


def test_the_crop_learns_too_but_is_less_sure() -> None:
    book = farm(*FAST)
    lessons = {x.cultivar: x for x in lessons_from(learned(book), book)}
    assert set(lessons) == {None, "Early"}
    assert lessons[None].log_rate_sd > lessons["Early"].log_rate_sd
    assert lessons[None].log_rate > 0.0


def test_a_season_that_begins_from_a_lesson_knows_most_of_it() -> None:
    book = farm(*FAST)
    taught = learned(book).rate_of("pawpaw", "early")
    begun = learned(farm(*lessons_from(learned(book), book))).rate_of("pawpaw", "early")
    assert taught is not None
    assert begun is not None
    assert begun.factor.mid == pytest.approx(taught.factor.mid, rel=0.1)
    assert taught.log_rate_sd < begun.log_rate_sd < taught.book_log_rate_sd
    assert begun.taught_by == ("Test farm",)


def test_lessons_are_not_taught_on() -> None:
    """What came from another season is no lesson of this one."""
    book = farm(*FAST)
    later = farm(*lessons_from(learned(book), book))
    assert lessons_from(learned(later), later) == ()


def test_the_same_season_has_the_same_lessons() -> None:
    book = farm(*FAST)
    ids = [lesson.id for lesson in lessons_from(learned(book), book)]
    assert ids == [lesson.id for lesson in lessons_from(learned(book), book)]
    assert len(set(ids)) == 2


def test_nothing_learned_is_no_lesson() -> None:
    assert lessons_from(learned(farm()), farm()) == ()

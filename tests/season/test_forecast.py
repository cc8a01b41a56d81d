"""What was worked out is kept for as long as it holds, and no longer."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.demo import demo_book
from ripenroom.season.forecast import Forecast
from ripenroom.season.moves import moves_of
from ripenroom.season.zones import zone_of


@pytest.fixture(scope="module")
def book() -> Book:
    """The practice season."""
    return demo_book()


@pytest.fixture
def now(book: Book) -> datetime:
    """Where its clock stands."""
    assert book.season.practice_now is not None
    return book.season.practice_now


@pytest.fixture
def forecast(book: Book) -> Forecast:
    """A forecast that was asked nothing yet."""
    return Forecast(shipped_profiles(), zone_of(book.season))


def test_it_is_kept_for_a_minute(forecast: Forecast, book: Book, now: datetime) -> None:
    first, supply = forecast.projection(book, now), forecast.supply(book, now)
    soon = now + timedelta(seconds=59)
    assert forecast.projection(book, soon) is first
    assert forecast.supply(book, soon) is supply
    later = forecast.projection(book, now + timedelta(minutes=1))
    assert later is not first
    assert later.at_h == pytest.approx(first.at_h + 1.0 / 60.0)


def test_it_is_made_anew_for_another_book(forecast: Forecast, book: Book, now: datetime) -> None:
    first, supply = forecast.projection(book, now), forecast.supply(book, now)
    batch = book.batches[first.batch_ids[int(first.left.argmax())]]
    fewer = book.with_changes([replace(batch, count=1)])
    second = forecast.projection(fewer, now)
    assert second.left[second.line_of[batch.id]] < first.left[first.line_of[batch.id]]
    assert forecast.supply(fewer, now) != supply


def test_a_story_or_a_trial_leaves_it_as_it_was(
    forecast: Forecast, book: Book, now: datetime
) -> None:
    first = forecast.projection(book, now)
    batch = next(iter(book.batches.values()))
    story = forecast.story(book, now, batch, moves_of(book, batch.id))
    assert story.batch_id == batch.id
    place_id = moves_of(book, batch.id)[-1].place_id
    assert forecast.with_set_point(book, now, place_id, 9.0) is not first
    assert forecast.projection(book, now) is first

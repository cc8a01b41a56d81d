"""What was worked out is kept for as long as it holds, and no longer."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.forecast import Forecast
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.season.whereabouts import moves_of


@pytest.fixture(scope="module")
def book() -> Book:
    """The practice season."""
    return demo_book()


@pytest.fixture
def state(book: Book) -> SeasonState:
    """The season where its clock stands."""
    assert book.season.practice_now is not None
    return SeasonState(book, shipped_profiles(), book.season.practice_now, zone_of(book.season))


@pytest.fixture
def forecast() -> Forecast:
    """A forecast that was asked nothing yet."""
    return Forecast()


def test_it_is_kept_for_a_minute(forecast: Forecast, state: SeasonState) -> None:
    first, supply = forecast.projection(state), forecast.supply(state)
    soon = replace(state, now=state.now + timedelta(seconds=59))
    assert forecast.projection(soon) is first
    assert forecast.supply(soon) is supply
    later = forecast.projection(replace(state, now=state.now + timedelta(minutes=1)))
    assert later is not first
    assert later.at_h == pytest.approx(first.at_h + 1.0 / 60.0)


def test_it_is_made_anew_for_another_book(forecast: Forecast, state: SeasonState) -> None:
    first, supply = forecast.projection(state), forecast.supply(state)
    batch = state.book.batches[first.batch_ids[int(first.left.argmax())]]
    fewer = state.with_changes([replace(batch, count=1)])
    second = forecast.projection(fewer)
    assert second.left[second.line_of[batch.id]] < first.left[first.line_of[batch.id]]
    assert forecast.supply(fewer) != supply


def test_a_story_or_a_trial_leaves_it_as_it_was(forecast: Forecast, state: SeasonState) -> None:
    first = forecast.projection(state)
    batch = next(iter(state.book.batches.values()))
    story = forecast.story(state, batch, moves_of(state.book, batch.id))
    assert story.batch_id == batch.id
    place_id = moves_of(state.book, batch.id)[-1].place_id
    assert forecast.with_set_point(state, place_id, 9.0) is not first
    assert forecast.projection(state) is first

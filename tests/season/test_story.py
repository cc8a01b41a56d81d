"""One batch over time."""

from collections.abc import Iterator
from contextlib import closing
from dataclasses import fields
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from ripenroom.season import actions
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import BatchStory
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW, ROOM, YESTERDAY, entry

FAR = timedelta(days=300)

Stories = tuple[Season, dict[str, BatchStory]]


@pytest.fixture(scope="module")
def stories(written_practice: Path) -> Iterator[Stories]:
    """The practice season, and the story of each of its batches."""
    with closing(Season.open(written_practice, read_only=True)) as season:
        yield season, {batch_id: season.story(batch_id) for batch_id in season.book.batches}


def test_columns_are_alike_in_length_and_hours_increase(stories: Stories) -> None:
    for batch_id, story in stories[1].items():
        assert story.batch_id == batch_id
        assert (np.diff(story.hours) > 0.0).all()
        for field in fields(story):
            if field.name != "batch_id":
                column = getattr(story, field.name)
                assert column.shape == story.hours.shape, field.name
                assert np.isfinite(column).all(), field.name


def test_the_curve_is_inside_its_range_and_the_fruit_softens(stories: Stories) -> None:
    practice, told = stories
    for batch_id, batch in practice.book.batches.items():
        story = told[batch_id]
        assert (story.firmness_low_n <= story.firmness_n + 1e-9).all()
        assert (story.firmness_n <= story.firmness_high_n + 1e-9).all()
        assert (np.diff(story.firmness_n) <= 1e-9).all()
        assert (story.ready_low <= story.ready_high + 1e-9).all()
        for share in (story.ready_low, story.ready, story.ready_high, story.past):
            assert ((share >= -1e-9) & (share <= 1.0 + 1e-9)).all()
        assert (story.ready + story.past <= 1.0 + 1e-9).all()
        firmness = practice.crops[batch.crop].firmness
        assert story.firmness_n.max() <= firmness.highest_n.value
        assert story.firmness_n.min() >= firmness.lowest_n.value


def test_it_goes_from_the_pick_to_past_the_window_and_past_now(stories: Stories) -> None:
    practice, told = stories
    projection = practice.projection()
    for batch_id, batch in practice.book.batches.items():
        hours = told[batch_id].hours
        assert hours[0] == pytest.approx(to_hours(batch.picked_at))
        assert hours[-1] > projection.at_h
        closes = projection.closes_h.mid[projection.line_of[batch_id]]
        assert np.isnan(closes) or hours[-1] > closes


def test_temperatures_follow_the_way_of_the_batch(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(pulp_c=25.0))
    living.do(actions.moves.move, [batch.id], ROOM, NOW)
    story = living.story(batch.id)
    before = story.hours < to_hours(NOW)
    assert set(story.air_c[before]) == {3.0}
    assert set(story.air_c[~before]) == {20.0}
    assert story.pulp_c[0] == pytest.approx(25.0)
    assert (np.diff(story.pulp_c[before]) < 0.0).all()
    assert story.pulp_c[-1] == pytest.approx(20.0, abs=0.1)
    lag = np.abs(story.pulp_c - story.air_c)
    assert lag[np.searchsorted(story.hours, to_hours(NOW))] > 10.0


def test_a_batch_of_long_ago_is_told_from_its_pick(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry(picked_at=YESTERDAY - timedelta(days=50)))
    living.read_as_on(NOW + FAR)
    hours = living.story(batch.id).hours
    assert hours.size < 1200
    assert hours[-1] - hours[0] >= 24.0 * 119.0


def test_telling_a_story_changes_no_projection(living: Season) -> None:
    living.do(actions.picks.add, entry(feel_counts=(0, 9, 6, 0, 0)))
    before = living.projection()
    for batch_id in living.book.batches:
        living.story(batch_id)
    assert living.projection() is before
    assert living.place_of(before.batch_ids[0]) == living.book.places[COLD]

"""A season that is open and learns."""

import numpy as np
import pytest

from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import farm_records, market
from tests.season.learning.checks import FAST, batches


@pytest.fixture
def season(open_season: Open) -> Season:
    """The small farm with checks of fast fruit, and a market in two days."""
    day, wants = market(2.0, {"pawpaw": 30})
    return open_season(*farm_records(), *batches(), *FAST, day, *wants)


def test_nothing_counts_until_it_is_taken_in(season: Season) -> None:
    assert season.learned is None
    before = season.projection()
    told: list[str] = []
    season.subscribe(lambda _changed: told.append("told"))
    found = season.learn()
    assert told == ["told"]
    assert season.learned is found
    assert not np.array_equal(season.projection().closes_h.mid, before.closes_h.mid)
    season.take_in(None)
    assert np.array_equal(season.projection().closes_h.mid, before.closes_h.mid)


def test_supply_and_notices_follow(season: Season) -> None:
    before = season.supply()[0]
    season.learn()
    after = season.supply()[0]
    assert after.ready != before.ready
    assert season.notices()


def test_a_story_can_be_told_by_the_book(season: Season) -> None:
    plain = season.story("batch 1")
    season.learn()
    learned, book = season.story("batch 1"), season.story("batch 1", by_the_book=True)
    assert np.array_equal(book.firmness_n, plain.firmness_n)
    same = min(learned.hours.size, book.hours.size)
    checked = np.searchsorted(learned.hours[:same], FAST[1].at.timestamp() / 3600.0)
    after = (learned.firmness_high_n - learned.firmness_low_n)[checked]
    assert after < 0.7 * (book.firmness_high_n - book.firmness_low_n)[checked]


def test_of_an_unknown_batch_there_is_no_story(season: Season) -> None:
    with pytest.raises(Refusal):
        season.story("no batch", by_the_book=True)


def test_what_was_learned_outlives_a_change_of_the_records(season: Season) -> None:
    found = season.learn()
    season.do(actions.batches.delete, ["batch 2"])
    assert season.learned is found
    assert "batch 1" in season.projection().line_of

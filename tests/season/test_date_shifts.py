"""What checks changed of a batch's dates."""

from datetime import timedelta

import pytest

from ripenroom.records.batch import FeelCounts
from ripenroom.records.entry import CheckEntry
from ripenroom.season import actions
from ripenroom.season.date_shifts import NextDate, pulls
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.farm import NOW, ROOM, entry

PICKED = NOW - timedelta(days=3)


def squeezed(living: Season, batch_id: str, counts: FeelCounts, hours_ago: float) -> str:
    at = NOW - timedelta(hours=hours_ago)
    insist = frozenset({"surprise"})
    return living.do(
        actions.checks.add,
        CheckEntry(batch_id=batch_id, at=at, feel_counts=counts, answered=insist),
    ).id


@pytest.fixture
def batch_id(living: Season) -> str:
    return living.do(actions.picks.add, entry(place_id=ROOM, picked_at=PICKED))[0].id


def test_soft_fruit_makes_a_batch_earlier_and_surer(living: Season, batch_id: str) -> None:
    squeezed(living, batch_id, (0, 0, 3, 15, 1), 1.0)
    living.learn()
    told = living.ask.taught(batch_id)
    assert told is not None
    assert told.after.ahead is NextDate.OPENS
    projection = living.projection()
    line = projection.line_of[batch_id]
    assert told.after.mid_h == pytest.approx(projection.opens_h.mid[line], abs=0.01)
    assert told.earlier_days > 0.0
    width = [at.high_h - at.low_h for at in (told.before, told.after)]
    assert width[1] < 0.6 * width[0]


def test_a_pull_is_the_date_without_the_check(living: Season, batch_id: str) -> None:
    first = squeezed(living, batch_id, (0, 17, 3, 0, 0), 30.0)
    alone = living.learn()
    without = living.ask.taught(batch_id)
    second = squeezed(living, batch_id, (0, 0, 12, 5, 0), 1.0)
    learned = living.learn()
    found = pulls(SeasonState(living.book, living.crops, NOW, living.zone, learned), batch_id)
    assert set(found) == {first, second}
    assert without is not None
    assert found[second].before.mid_h == pytest.approx(without.after.mid_h, abs=0.05)
    assert found[second].earlier_days > 0.0
    # Switched off, the check would change the date by the very same.
    living.do(actions.checks.count_in, second, False)
    again = pulls(SeasonState(living.book, living.crops, NOW, living.zone, alone), batch_id)
    assert again[second].earlier_days == pytest.approx(found[second].earlier_days, abs=0.02)


def test_where_nothing_waits_anywhere_there_is_no_date(living: Season) -> None:
    [past] = living.do(
        actions.picks.add, entry(place_id=ROOM, feel_counts=(0, 0, 0, 0, 20), picked_at=PICKED)
    )
    assert living.ask.taught(past.id) is None

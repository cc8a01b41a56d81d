"""Which batch to squeeze next."""

from datetime import timedelta

from ripenroom.records.entry import CheckEntry
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.farm import NOW, ROOM, SHELF, YESTERDAY, entry


def test_the_least_sure_comes_first_and_what_was_squeezed_waits(living: Season) -> None:
    sure = living.do(actions.picks.add, entry(place_id=ROOM, feel_counts=(0, 9, 9, 1, 0)))[0]
    [felt] = living.do(actions.picks.add, entry(place_id=ROOM))
    [unfelt] = living.do(actions.picks.add, entry(place_id=ROOM, feel_counts=None, count=30))
    order = living.worth_checking()
    assert order[0] == unfelt.id
    assert {felt.id, sure.id} <= set(order)
    living.do(
        actions.checks.add, CheckEntry(batch_id=unfelt.id, at=NOW, feel_counts=(0, 5, 4, 0, 0))
    )
    assert unfelt.id not in living.worth_checking()


def test_what_is_gone_past_or_far_away_is_left_out(living: Season) -> None:
    [gone] = living.do(actions.picks.add, entry(place_id=ROOM))
    living.do(actions.batches.take_out, gone.id, 20, "sold", NOW - timedelta(hours=1))
    living.do(
        actions.picks.add, entry(place_id=SHELF, feel_counts=(0, 0, 0, 0, 20), picked_at=YESTERDAY)
    )
    assert living.worth_checking() == ()


def test_without_batches_there_is_none(living: Season) -> None:
    assert living.worth_checking() == ()

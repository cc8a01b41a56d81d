"""What probably came to a market day."""

from dataclasses import replace
from datetime import timedelta

from ripenroom.records.batch import Removal
from ripenroom.records.book import Record
from ripenroom.records.market import MarketDay, Pin
from ripenroom.season import actions
from ripenroom.season.actions.outcomes import BatchOutcome
from ripenroom.season.guess_of_brought import could_come, probably_brought
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import COLD, NOW, ROOM, batch_and_move, farm_records, market
from tests.season.plans.planned import planned

DAY, WANTS = market(-0.2, {"pawpaw": 30})


def season(open_season: Open, *more: Record) -> Season:
    """A ready batch in the warm, one that holds in the cold, one of pears, one sold out."""
    ripe = batch_and_move(1, ROOM, picked_at=NOW - timedelta(days=5), feel_counts=(0, 0, 0, 20, 0))
    hard = batch_and_move(2, COLD, feel_counts=(20, 0, 0, 0, 0))
    pears = batch_and_move(3, ROOM, crop="pear", feel_counts=(0, 0, 0, 20, 0))
    out = batch_and_move(4, ROOM, picked_at=NOW - timedelta(days=5), feel_counts=(0, 0, 0, 20, 0))
    gone = Removal(id="gone", batch_id="batch 4", at=NOW, count=20, outcome="sold")
    return open_season(*farm_records(), DAY, *WANTS, *ripe, *hard, *pears, *out, gone, *more)


def guess(
    living: Season, *lines: PlannedItinerary, day: MarketDay = DAY
) -> dict[str, tuple[int, int, int]]:
    found = probably_brought(living.book, living.crops, living.projection(), day, lines)
    return {o.batch_id: (o.brought, o.sold, o.thrown) for o in found}


def test_where_nothing_is_said_it_is_what_was_ready_of_what_is_wanted(open_season: Open) -> None:
    assert guess(season(open_season)) == {"batch 1": (0, 0, 0)}


def test_what_was_planned_comes_before_what_was_ready(open_season: Open) -> None:
    lines = [
        planned("batch 2", 1, fruit=12.4, market_day_id=DAY.id),
        planned("batch 1", 1, fruit=9.0, market_day_id="another"),
        planned("", 1, fruit=9.0, market_day_id=DAY.id, expected_pick_id="pick"),
        planned("gone", 1, fruit=9.0, market_day_id=DAY.id),
    ]
    assert guess(season(open_season), *lines) == {"batch 2": (12, 0, 0)}


def test_what_is_pinned_counts_with_what_is_planned_and_is_no_more_than_there_is(
    open_season: Open,
) -> None:
    pin = Pin(id="pin", batch_id="batch 1", crates=9, market_day_id=DAY.id)
    line = planned("batch 2", 1, fruit=12.0, market_day_id=DAY.id)
    living = season(open_season, pin)
    assert guess(living, line) == {"batch 1": (20, 0, 0), "batch 2": (12, 0, 0)}


def test_what_stands_packed_is_what_came(open_season: Open) -> None:
    packed = Pin(id="pin", batch_id="batch 1", crates=9, market_day_id=DAY.id, packed_at=NOW)
    line = planned("batch 2", 1, fruit=12.0, market_day_id=DAY.id)
    assert guess(season(open_season, packed), line) == {"batch 1": (20, 0, 0)}


def test_two_half_crates_are_not_a_fruit_more_than_was_packed(open_season: Open) -> None:
    first, _ = market(-0.4, {"pawpaw": 30})
    pins = [
        Pin(id=str(n), batch_id="batch 1", crates=1, market_day_id=key, packed_at=NOW)
        for n, key in enumerate((DAY.id, DAY.id, first.id))
    ]
    living = season(open_season, first, *pins)
    per_crate = living.crops["pawpaw"].fruit_per_crate.value
    for count in range(round(2 * per_crate) + 1, round(3 * per_crate) + 1):
        batch = replace(living.book.batches["batch 1"], count=count, feel_counts=None)
        living.do(actions.batches.change, batch)
        there, then = guess(living)["batch 1"][0], guess(living, day=first)["batch 1"][0]
        assert there + then == count
        assert abs(there - count * 2 / 3) <= 0.5


def test_what_is_written_down_stands_first_and_is_all_once_settled(open_season: Open) -> None:
    living = season(open_season)
    living.do(actions.batches.take_out, "batch 2", 4, "sold", NOW, DAY.id)
    assert guess(living) == {"batch 2": (4, 4, 0), "batch 1": (0, 0, 0)}
    living.do(actions.settling.settle, DAY.id, [BatchOutcome("batch 2", 9, 4, 1)], NOW, None)
    assert guess(living, day=living.book.market_days[DAY.id]) == {"batch 2": (9, 4, 1)}


def test_what_could_come_was_picked_and_not_yet_gone(open_season: Open) -> None:
    late, move = batch_and_move(7, picked_at=NOW)
    strange = batch_and_move(8, crop="moonfruit", count=None, feel_counts=None, weight_kg=4.0)
    living = season(open_season, late, replace(move, id="move 7"), *strange)
    there = {"batch 1": 20, "batch 2": 20, "batch 3": 20, "batch 4": 20}
    assert could_come(living.book, living.crops, DAY) == there
    living.do(actions.batches.take_out, "batch 1", 6, "sold", NOW - timedelta(hours=5))
    living.do(actions.settling.settle, DAY.id, [BatchOutcome("batch 2", 9, 4, 1)], NOW, ROOM)
    there["batch 1"] = 14
    assert could_come(living.book, living.crops, living.book.market_days[DAY.id]) == there
    (part,) = (b for b in living.book.batches.values() if b.split_from)
    living.do(actions.batches.take_out, part.id, 1, "sold", NOW)
    assert could_come(living.book, living.crops, living.book.market_days[DAY.id]) == there

"""Packing with the squeeze: one action that writes a check, what goes and what is gone."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.records.batch import FeelCounts
from ripenroom.records.check import SortedCounts
from ripenroom.records.file import verify
from ripenroom.records.market import Pin, SecondGrade
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.actions.action import field_of
from ripenroom.season.actions.outcomes import BatchOutcome
from ripenroom.season.actions.packing import Squeezed, TooSoft
from ripenroom.season.guess_of_brought import probably_brought
from ripenroom.season.learning.populations import Population, PopulationOrigin, Populations
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    batch_and_move,
    farm_records,
    market,
    refused,
)
from tests.season.plans.planned import planned

DAY = "market 0.2"
ONE, TWO = "batch 1", "batch 2"


@pytest.fixture
def farm(open_season: Open) -> Season:
    """Two batches of 40 before a market of this morning whose buyers take two days."""
    day, wants = market(0.2, {"pawpaw": 30}, eat_within_days=2)
    assert day.id == DAY
    feel: FeelCounts = (0, 20, 20, 0, 0)
    batches = [
        record
        for n in (1, 2)
        for record in batch_and_move(
            n, ROOM, count=40, feel_counts=feel, picked_at=NOW - timedelta(days=3)
        )
    ]
    return open_season(*farm_records(), day, *wants, *batches)


def fruit_of(season: Season) -> dict[str, int]:
    """Fruit left of each batch, by code."""
    gone = dict.fromkeys(season.book.batches, 0)
    for removal in season.book.removals.values():
        gone[removal.batch_id] += removal.count
    return {b.code: (b.count or 0) - gone[b.id] for b in season.book.batches.values()}


def test_what_is_taken_is_a_batch_of_its_own_that_stands_packed(farm: Season) -> None:
    before = farm.book
    farm.do(
        actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 15, 8, 2), Squeezed(TWO, 0, 5, 0)], NOW
    )
    book = farm.book
    assert fruit_of(farm) == {"P-0930-1": 23, "P-0930-1a": 15, "P-0930-2": 40}
    [part] = [batch for batch in book.batches.values() if batch.taken]
    checks = {check.batch_id: check for check in book.checks.values()}
    first, second = checks[ONE], checks[TWO]
    assert first.feel_counts == (8, 0, 15, 0, 2)
    assert first.sorted_counts == SortedCounts(firm=8, taken=15, soft=0, gone=2)
    assert (first.eat_within_days, first.picked_from, first.at) == (2.0, 40, NOW)
    assert second.sorted_counts == SortedCounts(5, 0, 0, 0)
    assert (part.split_from, part.picked_over) == (ONE, first.id)
    assert book.batches[ONE].picked_over is None
    [pin] = book.pins.values()
    assert (pin.batch_id, pin.crates, pin.market_day_id) == (part.id, 1, DAY)
    assert pin.packed_at == NOW
    assert farm.undo_label == "packing of 15 fruit for Quay"
    farm.undo()
    assert farm.book == before
    farm.redo()
    assert fruit_of(farm)["P-0930-1a"] == 15
    assert verify(farm.path) == []


def test_a_batch_of_which_all_is_taken_stays_one(farm: Season) -> None:
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 38, 0, 2)], NOW)
    batch = farm.book.batches[ONE]
    [check] = farm.book.checks.values()
    assert set(farm.book.batches) == {ONE, TWO}
    assert (batch.picked_over, batch.taken) == (check.id, True)
    [pin] = farm.book.pins.values()
    assert (pin.batch_id, pin.crates) == (ONE, 2)


@pytest.mark.parametrize(
    ("way", "left", "feels"),
    [
        (TooSoft.THROWN, 35, (10, 0, 0, 0, 5)),
        (TooSoft.SECOND_GRADE, 35, (10, 0, 0, 0, 5)),
        (TooSoft.STAYS, 40, (10, 0, 0, 5, 0)),
    ],
)
def test_what_is_too_soft_is_thrown_sold_or_stays(
    farm: Season, way: TooSoft, left: int, feels: FeelCounts
) -> None:
    farm.do(
        actions.ahead.save_second_grades, [SecondGrade(id="pulp", crop="pawpaw", price_minor=30)]
    )
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 0, 10, 5)], NOW, way)
    assert fruit_of(farm)["P-0930-1"] == left
    [check] = farm.book.checks.values()
    assert check.feel_counts == feels
    told = [(r.outcome, r.grade, r.price_minor) for r in farm.book.removals.values()]
    assert (
        told
        == {
            TooSoft.THROWN: [("discarded", "first", None)],
            TooSoft.SECOND_GRADE: [("sold", "second", 30)],
            TooSoft.STAYS: [],
        }[way]
    )


def test_what_stands_packed_is_not_packed_again(farm: Season) -> None:
    """Be it a whole batch, a part of one, or crates that were ticked; for whichever day."""
    later, wants = market(3.0, {"pawpaw": 30})
    farm.do(actions.ahead.save_market_day, later, wants)
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 38, 0, 2)], NOW)

    def again(day_id: str) -> Refusal:
        some = [Squeezed(ONE, 8, 0, 0)]
        return refused(farm, lambda: farm.do(actions.packing.pack_squeezed, day_id, some, NOW))

    for day_id in (DAY, later.id):
        refusal = again(day_id)
        assert refusal.field == field_of("taken", ONE)
        assert refusal.message.startswith("P-0930-1 is packed for Quay already. To pack it")
    farm.undo()
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 15, 5, 2)], NOW)
    [part] = [batch for batch in farm.book.batches.values() if batch.taken]
    some = [Squeezed(part.id, 3, 0, 0)]
    assert (
        "is packed"
        in refused(farm, lambda: farm.do(actions.packing.pack_squeezed, DAY, some, NOW)).message
    )
    # What was left of it may be opened, all of it.
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 3, 20, 0)], NOW)


def test_of_a_batch_with_some_crates_packed_the_others_can_be_packed(farm: Season) -> None:
    farm.do(actions.pins.pack, planned(TWO, 1, market_day_id=DAY), NOW)
    too_many = refused(
        farm, lambda: farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(TWO, 21, 0, 0)], NOW)
    )
    assert too_many.message.startswith("20 of P-0930-2 are packed for Quay already; 20 are not")
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(TWO, 20, 0, 0)], NOW)
    [crop] = farm.ask.packing_list(DAY, None).crops
    assert crop.packed == 40
    assert not [line for line in crop.open_next if line.batch_id == TWO]


def test_crates_packed_for_two_days_are_all_spoken_for(farm: Season) -> None:
    later, wants = market(3.0, {"pawpaw": 30})
    farm.do(actions.ahead.save_market_day, later, wants)
    farm.do(actions.pins.pack, planned(TWO, 1, market_day_id=DAY), NOW)
    farm.do(actions.pins.pack, planned(TWO, 1, market_day_id=later.id), NOW)
    for day, packed in ((DAY, 20), (later.id, 20)):
        [crop] = farm.ask.packing_list(day, None).crops
        assert crop.packed == packed
        assert TWO not in {x.batch_id for x in (*crop.take, *crop.open_next, *crop.leave)}


def test_pins_for_that_market_day_have_served_and_others_stay(farm: Season) -> None:
    later, wants = market(3.0, {"pawpaw": 30})
    farm.do(actions.ahead.save_market_day, later, wants)
    farm.do(actions.pins.pin, Pin(id="now", batch_id=ONE, crates=1, market_day_id=DAY))
    farm.do(actions.pins.pin, Pin(id="later", batch_id=ONE, crates=1, market_day_id=later.id))
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 10, 10, 0)], NOW)
    assert "now" not in farm.book.pins
    assert farm.book.pins["later"].batch_id == ONE


def test_moves_ahead_are_those_of_what_stays(farm: Season) -> None:
    farm.do(actions.moves.move, [ONE], COLD, NOW + timedelta(hours=2))
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 10, 10, 0)], NOW)
    [part] = [batch for batch in farm.book.batches.values() if batch.taken]
    assert len(farm.moves_of(ONE)) == 2
    assert [move.place_id for move in farm.moves_of(part.id)] == [ROOM]


def test_what_was_packed_is_what_was_probably_brought_and_comes_back_as_it_is(
    farm: Season,
) -> None:
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 15, 8, 2)], NOW)
    [part] = [batch for batch in farm.book.batches.values() if batch.taken]
    day = farm.book.market_days[DAY]
    [brought] = probably_brought(farm.book, farm.crops, farm.projection(), day)
    assert (brought.batch_id, brought.brought) == (part.id, 15)
    over = day.starts_at + timedelta(hours=1)
    farm.read_as_on(over)
    farm.do(actions.settling.settle, DAY, [BatchOutcome(part.id, 15, 11, 0)], over, None)
    assert fruit_of(farm) == {"P-0930-1": 23, "P-0930-1a": 4, "P-0930-2": 40}
    assert farm.book.batches[part.id].taken
    assert not farm.book.pins


def test_picked_over_twice_and_split_what_is_left_knows_of_the_last_time(
    farm: Season,
) -> None:
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 10, 5, 0)], NOW - timedelta(hours=2))
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 5, 5, 0)], NOW)
    last = max(farm.book.checks.values(), key=lambda check: check.at)
    assert last.picked_from == 30
    split = farm.do(actions.splitting.split, ONE, 5)
    assert (split.picked_over, split.taken) == (last.id, False)


def test_of_two_packings_at_one_moment_the_later_one_saw_what_the_first_left(
    farm: Season,
) -> None:
    """Whatever ids they have: a clock that stands still gives both the same time."""
    for squeezed in (Squeezed(ONE, 10, 5, 0), Squeezed(ONE, 5, 5, 0)):
        farm.do(actions.packing.pack_squeezed, DAY, [squeezed], NOW)
    first, later = sorted(farm.book.checks.values(), key=lambda check: -(check.picked_from or 0))
    assert (first.picked_from, later.picked_from) == (40, 30)
    assert first.at == later.at
    for ids in (("a", "b"), ("b", "a")):
        one, two = replace(first, id=ids[0]), replace(later, id=ids[1])
        populations = Populations(farm.book, [two, one])
        assert populations.before(one) == Population(ONE, PopulationOrigin.PICKED)
        assert populations.before(two) == Population(one.id, PopulationOrigin.LEFT)
        assert populations.of(ONE) == Population(two.id, PopulationOrigin.LEFT)


@pytest.mark.parametrize(
    ("squeezed", "field", "words"),
    [
        ([], "", "No fruit counted yet"),
        ([Squeezed(ONE, 0, 0, 0)], "", "No fruit counted yet"),
        ([Squeezed(ONE, 30, 11, 0)], field_of("taken", ONE), "has only 40 fruit"),
        ([Squeezed(ONE, 3, -1, 0)], field_of("firm", ONE), "not -1"),
        ([Squeezed(ONE, 3, 0, 10**9)], field_of("soft", ONE), "from 0 to"),
        ([Squeezed(ONE, 3, 0, 0), Squeezed(ONE, 3, 0, 0)], field_of("taken", ONE), "twice"),
        ([Squeezed("none", 3, 0, 0)], "batch_id", "not in the season"),
    ],
)
def test_counts_that_cannot_be_are_refused(
    farm: Season, squeezed: list[Squeezed], field: str, words: str
) -> None:
    refusal = refused(farm, lambda: farm.do(actions.packing.pack_squeezed, DAY, squeezed, NOW))
    assert refusal.field == field
    assert words in refusal.message


def test_times_and_market_days_that_cannot_be_are_refused(farm: Season) -> None:
    some = [Squeezed(ONE, 3, 0, 0)]

    def packing(day_id: str = DAY, days: float = 0.0) -> Refusal:
        at = NOW + timedelta(days=days)
        return refused(farm, lambda: farm.do(actions.packing.pack_squeezed, day_id, some, at))

    assert packing("none").message.startswith("This market day is not in the season")
    assert packing(days=1.0).field == "at"
    assert "before P-0930-1 was picked" in packing(days=-4.0).message
    day = farm.book.market_days[DAY]
    farm.read_as_on(day.starts_at + timedelta(days=2))
    assert "is over by then" in packing(days=1.5).message
    farm.do(actions.settling.settle, DAY, [], day.starts_at + timedelta(hours=1), None)
    assert "already" in packing().message


def test_a_market_day_is_packed_for_until_late_on_it_or_until_it_is_settled(farm: Season) -> None:
    day = farm.book.market_days[DAY]
    last = day.starts_at + actions.packing.LATEST
    assert actions.packing.can_be_packed(day, last)
    assert not actions.packing.can_be_packed(day, last + timedelta(seconds=1))
    assert not actions.packing.can_be_packed(replace(day, settled_at=last), day.starts_at)


def test_a_picking_over_is_not_mended_as_a_check_but_may_be_left_out(farm: Season) -> None:
    farm.do(actions.packing.pack_squeezed, DAY, [Squeezed(ONE, 10, 10, 0)], NOW)
    [check] = farm.book.checks.values()
    refusal = refused(
        farm, lambda: farm.do(actions.checks.change, replace(check, feel_counts=(1, 0, 10, 0, 0)))
    )
    assert "squeezed and packed" in refusal.message
    farm.do(actions.checks.change, replace(check, note="in a hurry"), frozenset({"surprise"}))
    [noted] = farm.book.checks.values()
    assert (noted.note, noted.picked_from) == ("in a hurry", 40)
    farm.do(actions.checks.count_in, check.id, False)
    farm.learn()
    assert farm.learned is not None
    belief = farm.learned.belief
    assert belief is None or ONE not in belief.ages

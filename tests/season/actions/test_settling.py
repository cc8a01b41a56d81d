"""What became of a market day: written down once, mended, and taken back."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.batch import Move, Removal
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import Pin
from ripenroom.season import actions
from ripenroom.season.actions.action import Action, field_of
from ripenroom.season.actions.outcomes import BatchOutcome, came_back_to, outcomes_of, was_too_firm
from ripenroom.season.actions.settling import settle
from ripenroom.season.buyers import days_of
from ripenroom.season.crop_constants import buyers_days
from ripenroom.season.learning.populations import Population, PopulationOrigin, Populations
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState, zone_of
from tests.draws import draws
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    batch_and_move,
    book_of,
    entry,
    farm_records,
    market,
    refused,
)
from tests.season.writing import write

DAY = "market -0.5"
PAWPAW = shipped_profiles()["pawpaw"]
OVER = NOW - timedelta(hours=9)
Outcomes = Callable[..., BatchOutcome]


def outcome(
    brought: int, sold: int, thrown: int = 0, price_minor: int | None = None, number: int = 1
) -> BatchOutcome:
    return BatchOutcome(f"batch {number}", brought, sold, thrown, price_minor)


@pytest.fixture
def farm(open_season: Open) -> Season:
    """Two batches of 20 in the cold room, of before a market that was twelve hours ago."""
    day, wants = market(-0.5, {"pawpaw": 30})
    assert day.id == DAY
    return open_season(*farm_records(), day, *wants, *batch_and_move(1), *batch_and_move(2))


def settled(
    living: Season,
    *outcomes: BatchOutcome,
    back_to: str | None = None,
    too_firm: bool = False,
) -> None:
    living.do(actions.settling.settle, DAY, outcomes, OVER, back_to, too_firm)


def fruit_in(book: Book) -> int:
    return sum(b.count or 0 for b in book.batches.values()) - sum(
        r.count for r in book.removals.values()
    )


def test_sold_thrown_away_and_brought_are_written_in_one_step(farm: Season) -> None:
    before = farm.book
    settled(farm, outcome(18, 12, 2, 150))
    book = farm.book
    assert [(b.batch_id, b.count) for b in book.brought.values()] == [("batch 1", 18)]
    assert sorted(
        (r.outcome, r.count, r.price_minor, r.at, r.market_day_id) for r in book.removals.values()
    ) == [("discarded", 2, None, OVER, DAY), ("sold", 12, 150, OVER, DAY)]
    assert book.market_days[DAY].settled_at == NOW
    assert book.batches == before.batches
    assert book.moves == before.moves
    assert farm.undo() == "sales at Quay"
    assert farm.book == before


def test_a_day_to_which_nothing_came_can_be_settled(farm: Season) -> None:
    settled(farm)
    assert farm.book.market_days[DAY].settled_at == NOW
    assert not farm.book.brought


def test_pins_for_the_day_have_served(open_season: Open) -> None:
    day, wants = market(-0.5, {"pawpaw": 30})
    other, more = market(3, {"pawpaw": 30})
    pins = [
        Pin(id="served", batch_id="batch 1", crates=1, market_day_id=day.id, packed_at=OVER),
        Pin(id="ahead", batch_id="batch 1", crates=1, market_day_id=other.id),
    ]
    living = open_season(
        *farm_records(), day, *wants, other, *more, *batch_and_move(1, count=80), *pins
    )
    settled(living, outcome(18, 12))
    assert set(living.book.pins) == {"ahead"}


def test_all_of_a_batch_that_comes_back_is_moved_as_it_is(farm: Season) -> None:
    settled(farm, outcome(20, 12), back_to=SHELF)
    assert set(farm.book.batches) == {"batch 1", "batch 2"}
    assert [(m.at, m.place_id) for m in farm.moves_of("batch 1")][1:] == [(OVER, SHELF)]
    assert came_back_to(farm.book, DAY) == SHELF


def test_part_of_a_batch_that_comes_back_elsewhere_is_a_batch_of_its_own(
    farm: Season,
) -> None:
    settled(farm, outcome(12, 5, 1), back_to=SHELF)
    (part,) = (b for b in farm.book.batches.values() if b.split_from)
    assert (part.count, part.split_from) == (6, "batch 1")
    here = farm.place_of(part.id)
    assert here is not None
    assert here.id == SHELF
    stayed = farm.place_of("batch 1")
    assert stayed is not None
    assert stayed.id == COLD
    left = farm.projection()
    assert left.left[left.line_of["batch 1"]] == 8.0
    assert left.left[left.line_of[part.id]] == 6.0
    assert fruit_in(farm.book) == 34
    assert came_back_to(farm.book, DAY) == SHELF
    before = farm.undo_label
    assert before == "sales at Quay"
    farm.undo()
    assert set(farm.book.batches) == {"batch 1", "batch 2"}


def test_what_was_too_firm_at_the_stand_is_no_sample_as_what_packing_left(farm: Season) -> None:
    """One check says it, as at packing, of what came back and of what stayed with it."""
    settled(farm, outcome(18, 12, 2), back_to=ROOM, too_firm=True)
    book = farm.book
    [squeeze] = book.checks.values()
    assert (squeeze.batch_id, squeeze.at, squeeze.picked_from) == ("batch 1", OVER, 20)
    assert squeeze.sorted_counts == (4, 12, 0, 2)
    assert squeeze.eat_within_days == days_of(book.market_days[DAY], buyers_days(PAWPAW))
    [part] = [batch for batch in book.batches.values() if batch.split_from == "batch 1"]
    assert (part.count, part.picked_over, part.taken) == (4, squeeze.id, False)
    populations = Populations(book, book.checks.values())
    left = Population(squeeze.id, PopulationOrigin.LEFT)
    assert populations.of("batch 1") == populations.of(part.id) == left
    assert populations.of("batch 2") == Population("batch 2", PopulationOrigin.PICKED)
    assert was_too_firm(book, DAY)


def test_what_was_too_firm_at_the_stand_is_ready_later_than_what_was_sold(
    open_season: Open,
) -> None:
    """Had some of that been kept, it would be the riper part of the same batch."""
    day, wants = market(-0.5, {"pawpaw": 30})
    farm = open_season(*farm_records(), day, *wants, *batch_and_move(1, ROOM))
    settled(farm, outcome(20, 12), too_firm=True)
    [squeeze] = farm.book.checks.values()
    batch, move = batch_and_move(2, ROOM, picked_over=squeeze.id, taken=True)
    write(farm, Action("kept", (replace(batch, split_from="batch 1"), move)))
    farm.learn()
    projection = farm.projection()
    back, sold = (projection.line_of[key] for key in ("batch 1", "batch 2"))
    opens = projection.opens_h.mid
    assert opens[back] > opens[sold] + 6.0


def test_left_for_want_of_buyers_it_says_nothing(farm: Season) -> None:
    settled(farm, outcome(18, 12, 2), back_to=ROOM)
    assert not farm.book.checks
    assert not was_too_firm(farm.book, DAY)
    # Nor does a day from which nothing came back.
    settled(farm, outcome(18, 16, 2), too_firm=True)
    assert not farm.book.checks


def test_what_is_mended_takes_the_squeeze_at_the_stand_back(farm: Season) -> None:
    before = farm.book
    settled(farm, outcome(18, 12, 2), back_to=ROOM, too_firm=True)
    [first] = farm.book.checks.values()
    settled(farm, outcome(18, 10, 2), back_to=ROOM, too_firm=True)
    [again] = farm.book.checks.values()
    assert again.id == first.id
    assert again.sorted_counts == (6, 10, 0, 2)
    settled(farm, outcome(18, 10, 2), back_to=ROOM)
    assert not farm.book.checks
    for _ in range(3):
        farm.undo()
    assert farm.book == before


def test_what_comes_back_to_where_it_was_needs_no_move(farm: Season) -> None:
    settled(farm, outcome(12, 5), back_to=COLD)
    assert set(farm.book.batches) == {"batch 1", "batch 2"}
    assert len(farm.book.moves) == 2
    assert came_back_to(farm.book, DAY) is None


def test_what_sold_out_leaves_nothing_to_bring_back(farm: Season) -> None:
    settled(farm, outcome(12, 12), back_to=SHELF)
    assert set(farm.book.batches) == {"batch 1", "batch 2"}
    assert len(farm.book.moves) == 2


@pytest.mark.parametrize("first_back", [None, SHELF])
@pytest.mark.parametrize("then_back", [None, SHELF, ROOM])
@pytest.mark.parametrize("brought", [12, 20])
def test_mending_gives_what_writing_it_right_at_once_would(
    open_season: Open, brought: int, first_back: str | None, then_back: str | None
) -> None:
    day, wants = market(-0.5, {"pawpaw": 30})
    records = [*farm_records(), day, *wants, *batch_and_move(1), *batch_and_move(2)]
    mended, at_once = open_season(*records), open_season(*records)
    settled(mended, outcome(10, 5, 2), outcome(20, 3, number=2), back_to=first_back)
    settled(mended, outcome(brought, 6, 1, 99), back_to=then_back)
    settled(at_once, outcome(brought, 6, 1, 99), back_to=then_back)
    assert without_ids(mended.book) == without_ids(at_once.book)


def without_ids(book: Book) -> list[str]:
    """Everything that is written down, but for ids that are made anew each time."""
    return sorted(
        str(replace(record, id=""))
        for shelf in (book.removals, book.brought, book.moves)
        for record in shelf.values()
    ) + sorted(map(str, (*book.batches.values(), *book.market_days.values())))


def test_a_part_that_was_used_since_holds_its_number_and_its_place(farm: Season) -> None:
    settled(farm, outcome(12, 5, 1), back_to=SHELF)
    (part,) = (b for b in farm.book.batches.values() if b.split_from)
    farm.do(actions.batches.take_out, part.id, 2, "sold", NOW)
    other_number = refused(farm, lambda: settled(farm, outcome(12, 7, 1), back_to=SHELF))
    other_place = refused(farm, lambda: settled(farm, outcome(12, 5, 1), back_to=ROOM))
    assert (other_number.field, other_place.field) == (field_of("sold", "batch 1"), "back_to")
    assert part.code in other_number.message
    assert part.code in other_place.message
    assert part.code in refused(farm, lambda: settled(farm, back_to=SHELF)).message
    settled(farm, outcome(14, 7, 1, 80), back_to=SHELF)
    assert farm.book.batches[part.id] == part
    assert outcomes_of(farm.book, DAY) == (outcome(14, 7, 1, 80),)
    assert fruit_in(farm.book) == 30


def test_fruit_that_was_sold_there_before_is_part_of_it(farm: Season) -> None:
    farm.do(actions.batches.take_out, "batch 1", 4, "sold", OVER, DAY)
    assert outcomes_of(farm.book, DAY) == (outcome(4, 4),)
    settled(farm, outcome(10, 7))
    assert [r.count for r in farm.book.removals.values()] == [7]


def test_a_price_is_not_forgotten_for_fruit_that_was_sold_without_one(farm: Season) -> None:
    settled(farm, outcome(20, 15, price_minor=120))
    farm.do(actions.batches.take_out, "batch 1", 3, "sold", OVER, DAY)
    assert outcomes_of(farm.book, DAY) == (outcome(20, 18, price_minor=120),)


def test_fruit_sold_since_does_not_stand_in_the_way_of_mending(farm: Season) -> None:
    settled(farm, outcome(20, 15))
    farm.do(actions.batches.take_out, "batch 1", 5, "sold", NOW)
    settled(farm, outcome(20, 15, price_minor=120))
    refusal = refused(farm, lambda: settled(farm, outcome(20, 16)))
    assert refusal.field == field_of("sold", "batch 1")


@pytest.mark.parametrize(
    ("given_outcome", "what"),
    [
        (outcome(21, 3), "brought"),
        (outcome(-1, 0), "brought"),
        (outcome(5, -1), "sold"),
        (outcome(5, 6), "sold"),
        (outcome(5, 3, 3), "thrown"),
        (outcome(5, 3, -3), "thrown"),
        (outcome(5, 3, 0, -1), "price_minor"),
    ],
)
def test_numbers_that_cannot_be_are_refused_at_their_batch(
    farm: Season, given_outcome: BatchOutcome, what: str
) -> None:
    refusal = refused(farm, lambda: settled(farm, given_outcome))
    assert refusal.field == field_of(what, "batch 1")


def test_a_batch_twice_one_that_is_gone_and_one_picked_later_are_refused(
    farm: Season,
) -> None:
    twice = refused(farm, lambda: settled(farm, outcome(5, 3), outcome(5, 3)))
    assert twice.field == field_of("brought", "batch 1")
    assert refused(farm, lambda: settled(farm, outcome(5, 3, number=9))).field == "batch_id"
    (later,) = farm.do(actions.picks.add, entry(picked_at=OVER + timedelta(hours=1)))
    late = refused(farm, lambda: settled(farm, BatchOutcome(later.id, 5, 3, 0)))
    assert late.field == field_of("brought", later.id)


@pytest.mark.parametrize(
    ("at", "back_to", "field"),
    [
        (NOW + timedelta(hours=1), None, "at"),
        (NOW - timedelta(hours=13), None, "at"),
        (OVER, "gone", "place_id"),
    ],
)
def test_times_and_places_that_cannot_be_are_refused(
    farm: Season, at: datetime, back_to: str | None, field: str
) -> None:
    act = lambda: farm.do(actions.settling.settle, DAY, [outcome(5, 3)], at, back_to)  # noqa: E731
    assert refused(farm, act).field == field


def test_a_market_day_ahead_cannot_be_settled(open_season: Open) -> None:
    day, wants = market(2, {"pawpaw": 30})
    living = open_season(*farm_records(), day, *wants, *batch_and_move(1))
    act = lambda: living.do(actions.settling.settle, day.id, [outcome(5, 3)], NOW, None)  # noqa: E731
    assert "still to come" in refused(living, act).message
    act = lambda: living.do(actions.settling.settle, "gone", [], NOW, None)  # noqa: E731
    assert "not in the season" in refused(living, act).message


def test_what_was_moved_meanwhile_is_refused_at_the_place(farm: Season) -> None:
    farm.do(actions.moves.move, ["batch 1"], SHELF, NOW - timedelta(hours=2))
    farm.do(actions.moves.move, ["batch 1"], ROOM, NOW + timedelta(days=1))
    settled(farm, outcome(20, 12), back_to=SHELF)
    # The move to the shelf that was written down for later is the one that brought it back.
    assert [m.place_id for m in farm.moves_of("batch 1")] == [COLD, SHELF, ROOM]
    assert farm.moves_of("batch 1")[1].at == OVER


def test_what_was_weighed_is_settled_in_fruit(open_season: Open) -> None:
    day, wants = market(-0.5, {"pawpaw": 30})
    weighed = batch_and_move(1, count=None, feel_counts=None, weight_kg=5.0)
    living = open_season(*farm_records(), day, *wants, *weighed)
    settled(living, outcome(10, 6), back_to=SHELF)
    projection = living.projection()
    (part,) = (b for b in living.book.batches.values() if b.split_from)
    assert projection.left[projection.line_of[part.id]] == pytest.approx(4.0, abs=1e-4)
    whole = 5.0 / (living.crops["pawpaw"].fruit_mass_g.value / 1000.0)
    assert projection.left.sum() == pytest.approx(whole - 6, abs=1e-4)
    settled(living, outcome(10, 7), back_to=None)
    assert set(living.book.batches) == {"batch 1"}
    assert living.book.batches["batch 1"].weight_kg == pytest.approx(5.0)


@draws(50)
@given(
    st.lists(
        st.tuples(*(st.integers(0, 20) for _ in range(3)), st.sampled_from([None, COLD, SHELF])),
        min_size=1,
        max_size=4,
    )
)
def test_however_often_it_is_mended_no_fruit_is_lost(
    rounds: list[tuple[int, int, int, str | None]],
) -> None:
    crops = shipped_profiles()
    day, wants = market(-0.5, {"pawpaw": 30})
    pull = Move(id="pull", batch_id="batch 1", at=NOW + timedelta(days=1), place_id=ROOM)
    book = book_of(*farm_records(), day, *wants, *batch_and_move(1), pull)
    for a, b, c, back_to in rounds:
        sold, thrown, brought = sorted((a, b, c))
        told = outcome(brought, sold, thrown - sold)
        change = settle(
            SeasonState(book, crops, NOW, zone_of(book.season)), DAY, [told], OVER, back_to
        )
        book = book.with_changes(change.put, change.deleted)
        assert outcomes_of(book, DAY) == ((told,) if brought else ())
        assert fruit_in(book) == 20 - thrown
        assert sum(b.count or 0 for b in book.batches.values()) == 20
        assert len(book.batches) <= 2


def test_removals_of_other_days_stay(farm: Season) -> None:
    farm.do(actions.batches.take_out, "batch 1", 3, "sold", NOW)
    (other,) = farm.book.removals.values()
    settled(farm, outcome(10, 7))
    settled(farm)
    assert isinstance(other, Removal)
    assert list(farm.book.removals.values()) == [other]

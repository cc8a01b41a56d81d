"""What a plan asks for tonight, in its order, and why the rest stays.

``RIPENROOM_RECOUNTS=200 python -m pytest -s tests/season/plans/test_tonight.py`` is the long run.
"""

import os
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book, Record
from ripenroom.records.market import MarketDay
from ripenroom.records.place import Place
from ripenroom.season.forecast import Forecast
from ripenroom.season.plans.plan import (
    Plan,
    PlannedItinerary,
    PlannedMove,
    Staying,
    StayReason,
    Tonight,
)
from ripenroom.season.plans.planner import Planner
from ripenroom.season.plans.tonight import tonight
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_by_batch
from tests.draws import first_every_day, lengths
from tests.season.farm import COLD, NOW, ROOM, SHELF, UNUSED, batch_and_move
from tests.season.plans.planning import (
    CROPS,
    LISBON,
    evening,
    farm_book,
    market_records,
    pin,
    planned,
    second_grade,
)
from tests.season.plans.random_farm import crowded_farm, random_farm
from tests.season.plans.replayed import Replay

FARMS = int(os.environ.get("RIPENROOM_RECOUNTS", "40"))
_BLOCKS = 8
_EVERYDAY = _BLOCKS if "RIPENROOM_RECOUNTS" in os.environ else 1
TODAY = NOW.astimezone(LISBON).date()


def place_of(book: Book) -> Callable[[str], str | None]:
    moves = moves_by_batch(book)

    def found(batch_id: str) -> str | None:
        been = [move.place_id for move in moves.get(batch_id, ()) if move.at <= NOW]
        return been[-1] if been else None

    return found


def asked(
    book: Book, plan: Plan, last: date = TODAY, done: Sequence[PlannedItinerary] = ()
) -> Tonight:
    projection = Forecast().projection(SeasonState(book, CROPS, NOW, LISBON))
    return tonight(book, CROPS, plan, projection, place_of(book), last, LISBON, set(done))


@pytest.mark.parametrize("block", first_every_day(range(_BLOCKS), _EVERYDAY))
def test_every_evening_can_be_done_as_it_is_written(block: int) -> None:
    seen: Counter[str] = Counter()
    wrong: dict[tuple[int, int], list[str]] = {}
    for seed in range(block, FARMS, _BLOCKS):
        book = random_farm(seed)
        plan = Planner(SeasonState(book, CROPS, NOW, LISBON)).plan()
        for days in (0, 1):
            last = TODAY + timedelta(days=days)
            replay = Replay(book, plan, asked(book, plan, last), LISBON)
            if found := replay.faults(last):
                wrong[seed, days] = found
            seen += replay.counts
    print(dict(seen))
    assert seen["steps"] > 0
    assert wrong == {}


@pytest.mark.parametrize(
    "farms", lengths("RIPENROOM_RECOUNTS", everyday=2, long=10), ids="{} farms".format
)
def test_full_rooms_are_cleared_first_and_never_filled_too_full(farms: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(farms):
        book = crowded_farm(seed)
        plan = Planner(SeasonState(book, CROPS, NOW, LISBON)).plan()
        replay = Replay(book, plan, asked(book, plan), LISBON)
        assert replay.faults(TODAY) == [], seed
        seen += replay.counts
    print(dict(seen))
    assert seen["cleared"] > 0
    assert seen["steps"] > farms


# Lines made by hand: what a plan would do with them is no matter here


def holding(**crates: int) -> list[Record]:
    """The farm's places with so much room."""
    return [
        Place(id=key, name=key.title(), kind="cold room", half_cooling_h=5.0, capacity_crates=n)
        for key, n in crates.items()
    ]


def line(batch: int, here: str, crates: int = 1, **given: object) -> PlannedItinerary:
    facts = {
        "batch_id": f"batch {batch}",
        "crates": crates,
        "from_place_id": here,
        "pull_at": None,
        "to_place_id": here,
        "market_day_id": None,
        "expected_ready_share": 0.0,
        "expected_value_minor": 0.0,
    }
    return PlannedItinerary(**{**facts, **given})  # type: ignore[arg-type]


def moved(batch: int, here: str, there: str, crates: int = 1, days: int = 0) -> PlannedItinerary:
    step = PlannedMove(evening(days), there)
    return line(batch, here, crates, pull_at=step.at, to_place_id=there, steps=(step,))


def plan_of(book: Book, *lines: PlannedItinerary) -> Plan:
    return replace(planned(book), lines=lines, reckoned_lines=(), likely=())


def book_in(where: dict[int, str], *records: Record, **given: object) -> Book:
    """A book of batches in places; ``given`` are facts of all of them."""
    made = [r for number, key in where.items() for r in batch_and_move(number, key, **given)]
    return farm_book(*made, *records)


def carried(found: Tonight) -> list[list[str]]:
    return [[one.batch_id for one in c.lines] for e in found.evenings for c in e.carry]


def test_out_of_a_full_room_before_into_it() -> None:
    book = book_in({0: COLD, 1: SHELF}, *holding(shelf=1, room=4))
    found = asked(book, plan_of(book, moved(0, COLD, SHELF), moved(1, SHELF, ROOM)))
    assert carried(found) == [["batch 1"], ["batch 0"]]


def test_two_full_rooms_are_swapped() -> None:
    book = book_in({0: COLD, 1: SHELF}, *holding(shelf=1, cold=1))
    found = asked(book, plan_of(book, moved(0, COLD, SHELF), moved(1, SHELF, COLD)))
    assert carried(found) == [["batch 0", "batch 1"]]


def test_a_line_that_is_done_is_not_asked_for_and_holds_its_new_room() -> None:
    book = book_in({0: COLD, 1: SHELF}, *holding(shelf=1, cold=1))
    first, second = moved(0, COLD, ROOM), moved(1, SHELF, COLD)
    assert carried(asked(book, plan_of(book, first, second), done=[first])) == [["batch 1"]]


def test_a_batch_that_stands_elsewhere_by_now_is_left_there() -> None:
    book = book_in({0: ROOM}, *holding(shelf=1))
    found = asked(book, plan_of(book, moved(0, COLD, SHELF)))
    assert found == Tonight((), ())


def test_a_move_to_where_it_is_is_none() -> None:
    book = book_in({0: COLD})
    found = asked(book, plan_of(book, moved(0, COLD, COLD)))
    assert found.evenings == ()
    assert [s.line.batch_id for s in found.stays] == ["batch 0"]


def test_past_fruit_is_cleared_in_place_of_a_swap_as_little_as_will_do() -> None:
    book = book_in({0: COLD, 1: SHELF}, *holding(shelf=4, cold=1)).with_changes(
        batch_and_move(2, SHELF, **{**PAST, "count": 60})
    )
    moves = moved(0, COLD, SHELF), moved(1, SHELF, COLD)
    (evening_,) = asked(book, plan_of(book, *moves, line(2, SHELF, crates=3))).evenings
    assert [(c.line.batch_id, c.crates) for c in evening_.clear] == [("batch 2", 1)]
    assert evening_.clear[0].past_since is not None
    assert [[one.batch_id for one in c.lines] for c in evening_.carry] == [["batch 0"], ["batch 1"]]
    # What is kept or given up, but not past, is not thrown away to spare a swap.
    good = line(3, SHELF, to_place_id=None)
    book = book_in({0: COLD, 1: SHELF, 3: SHELF}, *holding(shelf=2, cold=1))
    (evening_,) = asked(book, plan_of(book, *moves, good)).evenings
    assert evening_.clear == ()
    assert [len(c.lines) for c in evening_.carry] == [2]


PAST = {"feel_counts": (0, 0, 0, 0, 20), "picked_at": NOW - timedelta(days=20)}


def test_past_fruit_is_cleared_where_its_room_is_needed_and_nowhere_else() -> None:
    book = book_in({0: COLD}, *holding(shelf=1)).with_changes(
        [r for n in (1, 2) for r in batch_and_move(n, SHELF if n == 1 else ROOM, **PAST)]
    )
    plan = plan_of(book, moved(0, COLD, SHELF), line(1, SHELF), line(2, ROOM))
    (tonight_,) = asked(book, plan).evenings
    (clearing,) = tonight_.clear
    assert (clearing.line.batch_id, clearing.crates) == ("batch 1", 1)
    assert clearing.past_since is not None
    assert clearing.past_since < NOW
    (stays,) = asked(book, plan).stays
    assert (stays.line.batch_id, stays.reason) == ("batch 2", StayReason.PAST)
    assert stays.until is not None
    assert stays.until < NOW


def test_only_as_many_crates_are_cleared_as_must_be() -> None:
    book = book_in({0: COLD}, *holding(shelf=5)).with_changes(
        batch_and_move(1, SHELF, **{**PAST, "count": 100})
    )
    found = asked(book, plan_of(book, moved(0, COLD, SHELF, crates=2), line(1, SHELF, crates=5)))
    assert [c.crates for c in found.evenings[0].clear] == [2]
    assert [(s.line.batch_id, s.crates) for s in found.stays] == [("batch 1", 3)]


def test_what_is_past_by_the_evening_is_cleared_too() -> None:
    """A plan of the morning counts on the room of fruit that is past by the afternoon."""
    soft = {"feel_counts": (0, 0, 0, 20, 0)}
    for hours in range(1, 400):
        batch, move = batch_and_move(1, SHELF, **soft, picked_at=NOW - timedelta(hours=hours))
        book = book_in({0: COLD}, *holding(shelf=1), batch, move)
        projection = Forecast().projection(SeasonState(book, CROPS, NOW, LISBON))
        ahead_h = float(projection.closes_h.mid[projection.line_of["batch 1"]]) - projection.at_h
        if 0.0 < ahead_h < 8.0:
            break
    plan = plan_of(book, moved(0, COLD, SHELF), line(1, SHELF))
    (clearing,) = asked(book, plan).evenings[0].clear
    assert clearing.past_since is not None
    assert NOW < clearing.past_since < evening(0)
    # What is past tomorrow only still holds its room tonight, and the move has none.
    later = replace(batch, picked_at=batch.picked_at + timedelta(hours=40))
    book = book.with_changes([later, replace(move, at=later.picked_at)])
    found = asked(book, plan).evenings[0]
    assert found.clear == ()
    assert [one.room for one in found.carry] == [False]


FULL = {COLD: 1, SHELF: 1, ROOM: 0, UNUSED: 0}
"""Rooms without any room left."""


def test_what_the_plan_gives_up_is_cleared_only_for_what_comes_tonight() -> None:
    book = book_in({0: BIN, 1: SHELF, 2: COLD}, *holding(**FULL), FIELD_BIN)
    given_up, keeps = line(1, SHELF, to_place_id=None), line(2, COLD)
    (evening_,) = asked(book, plan_of(book, moved(0, BIN, SHELF), given_up, keeps)).evenings
    assert [(c.line, c.past_since) for c in evening_.clear] == [(given_up, None)]
    later = asked(book, plan_of(book, moved(0, BIN, SHELF, days=1), given_up, keeps))
    assert later.evenings == ()
    assert {s.line.batch_id for s in later.stays} == {"batch 0", "batch 1", "batch 2"}


BIN = "bin"
FIELD_BIN = Place(id=BIN, name="Bin", kind="field bin", half_cooling_h=5.0)


def test_good_fruit_goes_where_there_is_room_and_is_not_cleared() -> None:
    """What tonight's moves leave counts; of several places the coldest is taken."""
    rooms = holding(**{**FULL, ROOM: 4, COLD: 1})
    book = book_in({0: COLD, 1: SHELF}, *rooms, FIELD_BIN)
    given_up = line(1, SHELF, to_place_id=None)
    found = asked(book, plan_of(book, moved(0, COLD, SHELF), given_up))
    (evening_,) = found.evenings
    assert evening_.clear == ()
    # Both rooms are full, and each has what the other is to hold.
    (swap,) = evening_.carry
    assert [one.batch_id for one in swap.lines] == ["batch 0", "batch 1"]
    aside = swap.lines[1]
    assert (aside.to_place_id, aside.market_day_id, aside.crates) == (COLD, None, 1)
    assert found.stays == ()
    # It is asked for once: done, it stands there, and nothing is left to do.
    done = [*swap.lines]
    assert asked(book, plan_of(book, moved(0, COLD, SHELF), given_up), done=done).evenings == ()


def test_a_few_hard_fruit_are_not_carried_out_of_the_way() -> None:
    """With less than 18 % of a crate's 25 pawpaws they are cleared; five are carried."""
    rooms = holding(**{**FULL, ROOM: 4})
    for count, carried_too in ((2, False), (4, False), (5, True)):
        book = book_in({0: BIN, 2: COLD}, *rooms, FIELD_BIN).with_changes(
            batch_and_move(1, SHELF, count=count)
        )
        given_up, keeps = line(1, SHELF, to_place_id=None), line(2, COLD)
        plan = plan_of(book, moved(0, BIN, SHELF), given_up, keeps)
        (evening_,) = asked(book, plan).evenings
        assert [c.rest for c in evening_.clear] == [] if carried_too else [True]
        moves = [one.batch_id for c in evening_.carry for one in c.lines]
        assert moves == (["batch 1", "batch 0"] if carried_too else ["batch 0"])


def test_as_many_good_crates_go_aside_as_have_room_and_the_rest_is_cleared() -> None:
    rooms = holding(**{**FULL, SHELF: 3, ROOM: 1})
    book = book_in({0: BIN, 1: SHELF, 2: COLD}, *rooms, FIELD_BIN, count=60)
    given_up, keeps = line(1, SHELF, crates=3, to_place_id=None, fruit=60.0), line(2, COLD)
    comes = moved(0, BIN, SHELF, crates=2)
    (evening_,) = asked(book, plan_of(book, comes, given_up, keeps)).evenings
    assert [(c.crates, c.past_since) for c in evening_.clear] == [(1, None)]
    (aside, came) = [carrying.lines[0] for carrying in evening_.carry]
    assert (aside.batch_id, aside.crates, aside.to_place_id) == ("batch 1", 1, ROOM)
    assert aside.fruit == pytest.approx(20.0)
    assert came == comes


def test_past_fruit_elsewhere_is_cleared_before_good_fruit_is() -> None:
    rooms = holding(**{**FULL, ROOM: 1})
    book = book_in({0: BIN, 1: SHELF, 2: COLD}, *rooms, FIELD_BIN).with_changes(
        batch_and_move(3, ROOM, **PAST)
    )
    lines = moved(0, BIN, SHELF), line(1, SHELF, to_place_id=None), line(2, COLD), line(3, ROOM)
    (evening_,) = asked(book, plan_of(book, *lines)).evenings
    (clearing,) = evening_.clear
    assert clearing.line.batch_id == "batch 3"
    assert clearing.past_since is not None
    assert [(c.lines[0].batch_id, c.lines[0].to_place_id) for c in evening_.carry] == [
        ("batch 1", ROOM),
        ("batch 0", SHELF),
    ]


def why(book: Book, *lines: PlannedItinerary) -> list[Staying]:
    return list(asked(book, plan_of(book, *lines)).stays)


def test_what_stays_says_for_whom_or_until_when() -> None:
    book = book_in(dict.fromkeys(range(4), COLD), *market_records(3, {"pawpaw": 40}))
    (day,) = book.market_days.values()
    sold = line(0, COLD, market_day_id=day.id, expected_ready_share=0.7)
    moves, grade = moved(1, COLD, ROOM, days=2), line(2, COLD, second_grade=True)
    grade = replace(grade, pull_at=evening(1), to_place_id=None)
    kept = line(3, COLD, expected_ready_share=0.5)
    found = why(book, sold, moves, grade, kept)
    assert [(s.reason, s.until) for s in found] == [
        (StayReason.MARKET, day.starts_at),
        (StayReason.MOVES_LATER, evening(2)),
        (StayReason.SECOND_GRADE, evening(1)),
        (StayReason.KEPT, None),
    ]


def test_what_was_picked_too_hard_is_hopeless_and_what_is_too_cold_is_not() -> None:
    hard = {"feel_counts": (20, 0, 0, 0, 0)}
    book = book_in({0: ROOM}, **hard).with_changes(batch_and_move(1, COLD))
    (never, cold) = sorted(why(book, line(0, ROOM), line(1, COLD)), key=lambda s: s.line.batch_id)
    assert never.reason is StayReason.HOPELESS
    assert cold.reason is StayReason.NO_MARKET


def test_without_a_market_day_ahead_what_keeps_and_what_does_not_say_the_same() -> None:
    book = book_in({0: ROOM, 1: ROOM}, *market_records(3, {"pear": 40}))
    found = why(book, line(0, ROOM), line(1, ROOM, expected_ready_share=0.5))
    assert [s.reason for s in found] == [StayReason.NO_MARKET] * 2
    assert all(s.until is not None and s.until > NOW for s in found)


def test_what_no_market_day_takes_says_why() -> None:
    soon, late = market_records(1, {"pawpaw": 40}), market_records(30, {"pawpaw": 40})
    (found,) = why(book_in({0: COLD}, *soon), line(0, COLD))
    day = soon[0]
    assert isinstance(day, MarketDay)
    assert (found.reason, found.market_day_id) == (StayReason.NOT_READY, day.id)
    (found,) = why(book_in({0: ROOM}, *late), line(0, ROOM))
    assert found.reason is StayReason.TOO_LATE
    assert found.until is not None
    assert found.until > NOW
    (found,) = why(book_in({0: ROOM}, *soon, *late), line(0, ROOM))
    assert found.reason is StayReason.NO_BUYER


def test_what_the_cold_spoils_before_the_last_market_day_is_not_said_to_wait_for_it() -> None:
    soon, far = market_records(1, {"pawpaw": 40}), market_records(30, {"pawpaw": 40})
    (found,) = why(book_in({0: COLD}, *soon, *far), line(0, COLD))
    assert found.reason is StayReason.NO_BUYER
    assert found.until is not None
    assert NOW < found.until < NOW + timedelta(days=30)


def test_what_is_kept_says_by_which_market_day_it_is_not_ready() -> None:
    soon = market_records(1, {"pawpaw": 40})
    kept = line(0, COLD, expected_ready_share=0.5)
    (found,) = why(book_in({0: COLD}, *soon), kept)
    day = soon[0]
    assert isinstance(day, MarketDay)
    assert (found.reason, found.market_day_id) == (StayReason.KEPT, day.id)
    ripe = {"feel_counts": (0, 0, 0, 20, 0)}
    today = market_records(0.4, {"pawpaw": 40})
    # Soft fruit in the warm is past before another market day comes.
    kept = line(0, ROOM, expected_ready_share=0.5)
    (found,) = why(book_in({0: ROOM}, *today, **ripe), kept)
    assert found.reason is StayReason.NO_BUYER
    assert found.until is not None


def test_what_is_sold_today_and_what_is_packed_is_not_told() -> None:
    book = book_in({0: COLD, 1: COLD}, *market_records(0.1, {"pawpaw": 40}))
    (day,) = book.market_days.values()
    sold = line(0, COLD, market_day_id=day.id)
    packed = line(1, COLD, market_day_id=day.id, packed=True)
    assert why(book, sold, packed) == []


def test_a_pinned_move_into_a_full_room_says_that_there_is_no_room() -> None:
    wanted = market_records(3, {"pawpaw": 40})
    book = book_in({0: COLD, 1: SHELF}, *holding(shelf=1), *wanted, count=20)
    pinned = pin(0, 1, pull_at=evening(0), place_id=SHELF)
    stays = pin(1, 1, market_day_id=next(iter(book.market_days)))
    plan = planned(book.with_changes([pinned, stays]))
    found = asked(book.with_changes([pinned, stays]), plan)
    (carrying,) = [c for c in found.evenings[0].carry if c.lines[0].batch_id == "batch 0"]
    assert not carrying.room


def test_a_plan_counts_on_the_room_that_a_pinned_move_leaves() -> None:
    """Whether there is any where that goes or not."""
    book = book_in({0: COLD, 1: SHELF, 2: ROOM}, *holding(shelf=1, room=1))
    pinned = replace(moved(1, SHELF, ROOM), pin_id="pin")
    found = asked(book, plan_of(book, moved(0, COLD, SHELF), pinned, line(2, ROOM)))
    assert carried(found) == [["batch 1"], ["batch 0"]]
    assert [one.room for one in found.evenings[0].carry] == [False, True]


def test_second_grade_leaves_before_anything_comes_into_its_room() -> None:
    book = book_in({0: COLD, 1: SHELF}, *holding(shelf=1), second_grade())
    leaves = line(1, SHELF, second_grade=True, pull_at=evening(0), to_place_id=None)
    found = asked(book, plan_of(book, moved(0, COLD, SHELF), leaves))
    assert carried(found) == [["batch 1"], ["batch 0"]]


def test_places_and_codes_order_what_stays() -> None:
    book = book_in({0: SHELF, 1: COLD, 2: COLD})
    batch = book.batches["batch 1"]
    assert isinstance(batch, Batch)
    book = book.with_changes([replace(batch, code="P-9")])
    found = why(book, line(0, SHELF), line(1, COLD), line(2, COLD))
    assert [s.line.batch_id for s in found] == ["batch 2", "batch 1", "batch 0"]

"""Itineraries as lines and back."""

from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.planning.allocation import allocate
from ripenroom.planning.problem import NO_WANT
from ripenroom.records.batch import Move
from ripenroom.records.book import Record
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.input import PlanningInput
from ripenroom.season.plans.named_itineraries import NamedItineraries
from ripenroom.season.plans.pinned_itineraries import ground
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.season.state import SeasonState
from tests.benchmarks.market_seasons import market_book
from tests.draws import first_every_day
from tests.season.farm import NOW, ROOM, SHELF
from tests.season.plans.planning import (
    CROPS,
    LISBON,
    evening,
    expected,
    farm_book,
    market_records,
    pin,
    second_grade,
)

WANTED = market_records(6, {"pawpaw": 60})


def laid(*records: Record, batches: int = 2) -> PlanningInput:
    book = farm_book(*WANTED, *records, batches=batches)
    return ground(SeasonState(book, CROPS, NOW, LISBON))


@pytest.mark.parametrize("seed", first_every_day(range(4)))
def test_lines_say_all_there_is_to_say(seed: int) -> None:
    """Crates on itineraries are found again from the lines; second grade and picks to come too."""
    book = market_book(30, 6, seed)
    now, zone = book.season.practice_now, ZoneInfo(book.season.zone)
    assert now is not None
    found = ground(SeasonState(book, CROPS, now, zone))
    lines = NamedItineraries(found, zone)
    crates = allocate(found.problem).crates
    assert lines.crates_of(lines.lines(crates)).tolist() == crates.tolist()
    # Each itinerary on its own, whether anyone would choose it or not.
    ways = np.random.default_rng(seed).permutation(found.problem.ways.size)[:200]
    for way in ways.tolist():
        one = np.zeros_like(crates)
        one[way] = 1
        (line,) = lines.lines(one)[:1]
        assert np.flatnonzero(lines.crates_of([line])).tolist() == [way]


def test_lines_come_by_sale() -> None:
    book = farm_book(
        *market_records(2, {"pawpaw": 8}),
        *market_records(6, {"pawpaw": 20}),
        second_grade(price=60),
        expected(1),
        batches=3,
        place=ROOM,
    )
    found = ground(SeasonState(book, CROPS, NOW, LISBON))
    lines = NamedItineraries(found, LISBON).lines(allocate(found.problem).crates)

    def rank(line: PlannedItinerary) -> tuple[int, float]:
        day = book.market_days.get(line.market_day_id or "")
        if day is not None:
            return 0, to_hours(day.starts_at)
        if line.second_grade and line.pull_at:
            return 1, to_hours(line.pull_at)
        return (2 if line.to_place_id else 3), 0.0

    ranks = [rank(line) for line in lines]
    assert ranks == sorted(ranks)
    assert {kind for kind, _ in ranks} >= {0, 1}


def test_lines_of_another_day_are_taken_as_far_as_they_can_be() -> None:
    one, other = laid(), laid(batches=1)
    crates = allocate(one.problem).crates
    lines = NamedItineraries(one, LISBON).lines(crates)
    kept = NamedItineraries(other, LISBON).crates_of(lines)
    assert set(other.problem.ways.batch[kept > 0].tolist()) == {0}
    elsewhere = ground(SeasonState(farm_book(batches=2), CROPS, NOW, LISBON))
    bare = NamedItineraries(elsewhere, LISBON).crates_of(lines)
    assert (elsewhere.problem.ways.want[bare > 0] == NO_WANT).all()


def test_moves_written_down_are_steps_until_the_crates_are_sold() -> None:
    moves = [
        Move(id="a", batch_id="batch 0", at=evening(1), place_id=SHELF),
        Move(id="b", batch_id="batch 0", at=evening(8), place_id=ROOM),
    ]
    found = laid(*moves, pin(0, 2, market_day_id=WANTED[0].id), batches=1)
    lines = NamedItineraries(found, LISBON).lines(allocate(found.problem).crates)
    sold = next(line for line in lines if line.market_day_id)
    left = next(line for line in lines if not line.market_day_id)
    assert [(step.at, step.place_id) for step in sold.steps] == [(evening(1), SHELF)]
    assert [step.place_id for step in left.steps] in ([SHELF, ROOM], [])

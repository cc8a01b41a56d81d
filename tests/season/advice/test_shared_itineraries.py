"""Itineraries looked at again: the same shares as if they had been looked at alone."""

from datetime import timedelta
from functools import cache

import numpy as np
import pytest

from ripenroom.planning.problem import NO_WANT, Itineraries
from ripenroom.records.batch import Move
from ripenroom.records.book import Book
from ripenroom.records.market import Pin, SecondGrade
from ripenroom.season.advice.shared_itineraries import SharedItineraries, paid_ground
from ripenroom.season.advice.thermostat_settings import held_at
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.draws import one_in
from tests.season.advice.test_set_points import COLD, CROPS, WARM, ZONE, farm
from tests.season.farm import NOW, batch_and_move, market

TODAY = {COLD: 4.0, WARM: 19.0}
ANCHORS = [{COLD: cold, WARM: warm} for cold in (1.0, 8.0) for warm in (16.0, 22.0)]


def busy_farm() -> Book:
    """Fruit in both rooms, one batch with a move ahead, second grade, and a pin."""
    day, wants = market(5.3, {"pawpaw": 90})
    return farm(
        4.0,
        19.0,
        *batch_and_move(2, WARM, count=120, picked_at=NOW - timedelta(days=3)),
        *batch_and_move(3, COLD, count=80, picked_at=NOW - timedelta(days=2)),
        Move(id="ahead", batch_id="batch 3", at=NOW + timedelta(days=2), place_id=WARM),
        SecondGrade(id="pulp", crop="pawpaw", price_minor=20),
        Pin(
            id="pin",
            batch_id="batch 1",
            crates=2,
            pull_at=NOW + timedelta(days=3, hours=2),
            place_id=WARM,
            market_day_id="market 9.0",
            packed_at=None,
        ),
        day,
        *wants,
    )


def by_way(ways: Itineraries) -> dict[tuple[int, ...], float]:
    names = (ways.batch, ways.want, ways.first_place, ways.first, ways.place, ways.pull, ways.fixed)
    return dict(zip(map(tuple, np.column_stack(names).tolist()), ways.share.tolist(), strict=True))


def common(book: Book) -> SharedItineraries:
    state = SeasonState(book, CROPS, NOW, ZONE)
    return SharedItineraries(state, paid_ground(state), TODAY, ANCHORS)


@cache
def busy_and_shared() -> tuple[Book, SharedItineraries]:
    """One for all settings: in which order they are asked of changes nothing."""
    book = busy_farm()
    return book, common(book)


@pytest.mark.parametrize("held", one_in(3, [TODAY, *ANCHORS, {COLD: 1.0}, {WARM: 22.0}, {}]))
def test_shares_are_those_of_the_ground_at_the_same_settings(held: dict[str, float]) -> None:
    book, shared = busy_and_shared()
    ours = by_way(shared.at(held).ways)
    theirs = by_way(
        paid_ground(SeasonState(held_at(book, NOW, held), CROPS, NOW, ZONE)).problem.ways
    )
    assert any(key[-1] >= 0 for key in theirs)
    assert set(theirs) <= set(ours)
    for key, share in theirs.items():
        assert ours[key] == pytest.approx(share, abs=1e-6)


@pytest.mark.long
def test_asking_in_another_order_changes_nothing() -> None:
    book = busy_farm()
    cells = [{COLD: 1.0, WARM: 22.0}, {COLD: 1.0}, {WARM: 22.0}, {}]
    forth, back = common(book), common(book)
    first = [forth.at(cell).ways.share for cell in cells]
    last = [back.at(cell).ways.share for cell in reversed(cells)]
    for one, other in zip(first, reversed(last), strict=True):
        assert one.tolist() == other.tolist()


def test_every_way_is_there_once_and_takes_up_its_room(few: Season) -> None:
    laid = paid_ground(few.state)
    cold = next(p.id for p in few.book.places.values() if p.kind == "cold room")
    ways = SharedItineraries(few.state, laid, {cold: 4.0}, [{cold: 0.0}, {cold: 9.0}]).at({})
    free = ways.ways.free
    assert len(by_way(ways.ways)) == free.size
    assert free.size > laid.problem.ways.size
    # What is left as it stands is there once for each batch; kept for later it may go anywhere.
    for there in (ways.ways, laid.problem.ways):
        left = (there.want == NO_WANT) & (there.place < 0)
        assert np.unique(there.batch[left]).size == left.sum()
    before = by_way(laid.problem.ways)
    after = by_way(ways.ways)
    assert all(after[key] == pytest.approx(share, abs=1e-6) for key, share in before.items())
    stands = ways.load(ways.as_they_stand)
    assert stands.tolist() == laid.problem.load(laid.problem.as_they_stand).tolist()

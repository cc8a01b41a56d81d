"""A plan that is made at once: it can be followed as it stands, and is nearly as good."""

from zoneinfo import ZoneInfo

import pytest

from ripenroom.planning.allocation import allocate
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.plans.input import PlanningInput, unpinned
from ripenroom.season.plans.pinned_itineraries import pinned
from ripenroom.season.plans.planner import Planner
from ripenroom.season.plans.update import plan_at_once
from ripenroom.season.state import SeasonState
from tests.benchmarks.market_seasons import market_book

FARTHEST = 0.05
"""The aim for what is shown first."""


def season(seed: int, batches: int = 80, market_days: int = 16) -> SeasonState:
    book = market_book(batches, market_days, seed)
    now = book.season.practice_now
    assert now is not None
    return SeasonState(book, shipped_profiles(), now, ZoneInfo(book.season.zone))


def laid(state: SeasonState, at_once: bool) -> PlanningInput:
    return pinned(unpinned(state, at_once=at_once), ())


@pytest.mark.long
@pytest.mark.parametrize("seed", [1, 2])
def test_it_is_near_to_what_can_be_reached(seed: int) -> None:
    state = season(seed)
    few, every = (laid(state, at_once).problem for at_once in (True, False))
    assert few.ways.size < every.ways.size / 2
    found = allocate(few)
    assert not few.overfull(found.crates).any()
    assert found.value > (1.0 - FARTHEST) * allocate(every).value


def test_it_says_that_it_is_one_and_the_next_one_finds_all_again() -> None:
    state = season(1, batches=10, market_days=3)
    update = plan_at_once(state)
    assert update.plan.at_once
    assert update.yesterday is None
    assert not update.changes
    after = Planner(state, last=update.replanner)
    assert after.plan() == Planner(state).plan()

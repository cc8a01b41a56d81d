"""A season from its first to its last day, as one grower runs it, and what comes of it."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.season.growers.grower import Grower
from tests.benchmarks.season.truth.fruit import Hand
from tests.benchmarks.season.truth.store import Fate, Store
from tests.benchmarks.season.truth.year import Year

SELLS_H, PICKS_H, PLANS_H, MOVES_H = 7.0, 14.0, 17.5, 18.0
"""Hours of the day at which things are done."""

Begin = Callable[[Store], Grower]
"""A grower who takes over a farm."""


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of the fruit of a season; each is counted once."""

    at_best: int
    disappointed: int
    thrown: int
    left: int
    crates_moved: int
    not_moved: int
    revenue_minor: float


def play(year: Year, begin: Begin, hand: Hand | None = None) -> Tally:
    """Run a season; with another ``hand`` than the usual one."""
    store = Store(year, hand)
    grower = begin(store)
    try:
        for day in range(year.days):
            _day(store, grower, day)
    finally:
        grower.close()
    fates = np.bincount(store.fate, minlength=len(Fate)).tolist()
    ledger = store.ledger
    return Tally(
        at_best=fates[Fate.SOLD_AT_BEST],
        disappointed=fates[Fate.DISAPPOINTED],
        thrown=fates[Fate.THROWN],
        left=fates[Fate.IN_STORE],
        crates_moved=ledger.crates_moved,
        not_moved=ledger.not_moved,
        revenue_minor=ledger.revenue_minor,
    )


def _day(store: Store, grower: Grower, day: int) -> None:
    midnight_h = 24.0 * day
    store.advance(midnight_h + SELLS_H)
    for number, market in store.year.markets_on(day):
        grower.sell(number, market)
    store.advance(midnight_h + PICKS_H)
    for pick in store.year.picks_on(day):
        grower.picked(pick)
    store.advance(midnight_h + PLANS_H)
    grower.cleared(store.clear_rotten())
    grower.plan_evening()
    store.advance(midnight_h + MOVES_H)
    grower.move()

"""Growers by a simple rule: which lots go first, and when they come into the warm."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from tests.benchmarks.season.growers.leaflet import closes_h, ready_h
from tests.benchmarks.season.truth.fruit import Numbers
from tests.benchmarks.season.truth.store import Lot, Store
from tests.benchmarks.season.truth.year import (
    BIN,
    COLD,
    COUNTER,
    FRUIT_PER_CRATE,
    SHELF,
    WARM,
    Market,
    Pick,
)

BOOK_DAYS_AHEAD = 8
"""So far ahead a grower by the book looks at markets."""

_SELLS_AT_H = 7.0

COLD_FIRST = (COLD, SHELF, COUNTER, BIN)
NO_COLD = (SHELF, COUNTER, BIN)

Rank = Callable[[Lot], float]
"""What goes first: the lot with the lowest rank."""


def oldest(lot: Lot) -> float:
    """First in first out."""
    return float(lot.pick.day)


def first_expired(lot: Lot) -> float:
    """First expired first out, by the leaflet."""
    return closes_h(lot)


@dataclass(frozen=True, slots=True)
class Habits:
    """How a rule is kept: fruit comes into the warm so many days before a market, so many times as
    much as is wanted; what is ready and left after the market goes ``to_cold`` or not; and picks go
    into the first of some places that has room."""

    days_ahead: int = 4
    times_wanted: float = 1.5
    to_cold: bool = True
    first_rooms: tuple[int, ...] = COLD_FIRST


class MovesNothing:
    """All stands on the cool shelf, and as far as it is full on the counter; each market has what
    seems fit, the lowest rank first."""

    first_rooms: tuple[int, ...] = NO_COLD

    def __init__(self, store: Store, rank: Rank = oldest) -> None:
        self.store = store
        self._rank = rank

    def sell(self, number: int, market: Market) -> None:
        """Squeeze what stands warm until enough is packed."""
        packed: dict[int, Numbers] = {}
        for lot_id, lot in self.in_order():
            most = market.most - sum(fruit.size for fruit in packed.values())
            if lot.room != COLD and most > 0:
                packed[lot_id] = self.store.pack(lot_id, lot.fruit.size, market, most).fit
        self.store.sell(market, packed)

    def picked(self, pick: Pick) -> None:
        """Put it where there is room."""
        self.store.receive(pick, self.first_rooms)

    def cleared(self, rotten: Mapping[int, int]) -> None:
        """Nobody writes anything down."""

    def plan_evening(self) -> None:
        """Nobody plans."""

    def move(self) -> None:
        """Nothing is moved."""

    def close(self) -> None:
        """Nothing is open."""

    def in_order(self) -> list[tuple[int, Lot]]:
        """Lots, the lowest rank first."""
        return sorted(self.store.lots.items(), key=lambda item: (self._rank(item[1]), item[0]))

    def markets_ahead(self, days: int) -> Iterator[Market]:
        """Markets from tomorrow on within so many days."""
        today = int(self.store.hour // 24.0)
        return (m for m in self.store.year.markets if today < m.day <= today + days)

    def warm(self, lot_id: int, crates: int) -> None:
        """Bring crates into the ripening room; what it has no room for comes onto the shelf, then
        onto the counter."""
        for room in (WARM, SHELF, COUNTER):
            crates = min(crates, self.store.lots[lot_id].crates)
            fits = min(crates, self.store.space(room))
            moved = self.store.carry(lot_id, crates, room)
            if moved == lot_id or fits == crates:
                return
            crates -= max(fits, 0)
        self.store.ledger.not_moved += crates


class ByHabit(MovesNothing):
    """Fruit comes out of the cold so many days before a market, by the rule's order."""

    def __init__(self, store: Store, habits: Habits, rank: Rank = oldest) -> None:
        super().__init__(store, rank)
        self._habits = habits
        self.first_rooms = habits.first_rooms
        self._sold_today = False

    def sell(self, number: int, market: Market) -> None:
        """As any rule; what is left is put away in the evening."""
        super().sell(number, market)
        self._sold_today = True

    def move(self) -> None:
        """Put away what is left of the market, and bring out what the next ones want."""
        habits = self._habits
        if self._sold_today and habits.to_cold:
            for lot_id, lot in self.in_order():
                if lot.room != COLD and ready_h(lot) <= self.store.hour:
                    self.store.carry(lot_id, lot.crates, COLD)
        self._sold_today = False
        wanted = sum(market.wanted for market in self.markets_ahead(habits.days_ahead))
        needed = -int(-habits.times_wanted * wanted // FRUIT_PER_CRATE)
        needed -= sum(lot.crates for lot in self.store.lots.values() if lot.room != COLD)
        for lot_id, lot in self.in_order():
            if needed > 0 and lot.room == COLD and lot.been[-1][0] < self.store.hour:
                crates = min(needed, lot.crates)
                needed -= crates
                self.warm(lot_id, crates)


class ByBook(MovesNothing):
    """Picks go into the cold and come out on the last evening on which the leaflet has them ready
    in time for a market; each market, in turn, is given the lowest rank first."""

    first_rooms = COLD_FIRST

    def move(self) -> None:
        """Bring out what has to come out tonight."""
        now, free = self.store.hour, {n: lot.crates for n, lot in self.in_order()}
        for market in self.markets_ahead(BOOK_DAYS_AHEAD):
            begins_h = 24.0 * market.day + _SELLS_AT_H
            needed = -(-market.most // FRUIT_PER_CRATE)
            for lot_id, lot in self.in_order():
                if needed <= 0:
                    break
                crates = min(needed, free.get(lot_id, 0))
                if crates <= 0:
                    continue
                if lot.room != COLD:
                    if ready_h(lot) <= begins_h <= closes_h(lot):
                        needed, free[lot_id] = needed - crates, free[lot_id] - crates
                elif ready_h(lot, now, WARM) <= begins_h:
                    needed, free[lot_id] = needed - crates, free[lot_id] - crates
                    if ready_h(lot, now + 24.0, WARM) > begins_h:
                        self.warm(lot_id, crates)

"""Growers by a simple rule: which lots go first, and when they come into the warm."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

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


class Ready(Enum):
    """What becomes of fruit that is ready before it is wanted."""

    STAYS = "stays where it is"
    AWAY = "goes into the cold after a market, and comes out again"
    SOLD_COLD = "goes into the cold every evening, and is sold from there"


@dataclass(frozen=True, slots=True)
class Habits:
    """How a rule is kept: fruit comes into the warm so many days before a market, so many times as
    much as is wanted; what becomes of what is ``ready``; and picks go into the first of some places
    that has room for them."""

    days_ahead: int = 4
    times_wanted: float = 1.5
    ready: Ready = Ready.AWAY
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
            if self.for_sale(lot_id, lot) and most > 0:
                packed[lot_id] = self.store.pack(lot_id, lot.fruit.size, market, most).fit
        self.store.sell(market, packed)

    def for_sale(self, lot_id: int, lot: Lot) -> bool:
        """Whether a lot is squeezed for a market at all."""
        return lot.room != COLD

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
        self._put_away: set[int] = set()

    def sell(self, number: int, market: Market) -> None:
        """As any rule; what is left may be put away in the evening."""
        super().sell(number, market)
        self._sold_today = True

    def for_sale(self, lot_id: int, lot: Lot) -> bool:
        """What stands warm, and what was ready when it was put away."""
        return super().for_sale(lot_id, lot) or lot_id in self._put_away

    def in_order(self) -> list[tuple[int, Lot]]:
        """Lots, the lowest rank first, but what was put away after all that goes on ripening."""
        return sorted(super().in_order(), key=lambda item: item[0] in self._put_away)

    def move(self) -> None:
        """Put away what is ready, and bring out what the next markets want."""
        habits = self._habits
        if habits.ready is Ready.SOLD_COLD or (self._sold_today and habits.ready is Ready.AWAY):
            self._put_ready_away()
        self._sold_today = False
        wanted = sum(market.wanted for market in self.markets_ahead(habits.days_ahead))
        needed = -int(-habits.times_wanted * wanted // FRUIT_PER_CRATE)
        lots = self.store.lots.items()
        needed -= sum(lot.crates for lot_id, lot in lots if self.for_sale(lot_id, lot))
        for lot_id, lot in self.in_order():
            waits = lot.room == COLD and lot_id not in self._put_away
            if needed > 0 and waits and lot.been[-1][0] < self.store.hour:
                crates = min(needed, lot.crates)
                needed -= crates
                self.warm(lot_id, crates)

    def _put_ready_away(self) -> None:
        for lot_id, lot in self.in_order():
            if lot.room != COLD and ready_h(lot) <= self.store.hour:
                moved = self.store.carry(lot_id, lot.crates, COLD)
                if moved is not None and self._habits.ready is Ready.SOLD_COLD:
                    self._put_away.add(moved)


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

"""The farm as it goes: lots of fruit in rooms, moved, squeezed, sold, thrown away.

A grower sees lots, their crates and what hands feel; what fruit really is stays in here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from typing import NamedTuple

import numpy as np

from tests.benchmarks.season.truth.fruit import Hand, Numbers
from tests.benchmarks.season.truth.year import FRUIT_PER_CRATE, Market, Pick, Year

_STEP_H = 1.0

_NOTHING = np.zeros(0, dtype=np.intp)


class Fate(IntEnum):
    """What became of a fruit."""

    ON_THE_TREE = 0
    IN_STORE = 1
    SOLD_AT_BEST = 2
    DISAPPOINTED = 3
    THROWN = 4


class Condition(IntEnum):
    """What a fruit is to buyers."""

    FIT = 0
    FIRM = 1
    PAST = 2
    GONE = 3


def crates_of(fruit: int) -> int:
    """Crates that so many fruit of a lot stand in."""
    return -(-fruit // FRUIT_PER_CRATE)


@dataclass(slots=True)
class Lot:
    """Fruit of one pick that stand together; ``been`` are the hours at which they came to places,
    the last of them where they are."""

    pick: Pick
    fruit: Numbers
    been: list[tuple[float, int]]

    @property
    def room(self) -> int:
        """Where it stands."""
        return self.been[-1][1]

    @property
    def crates(self) -> int:
        """Crates that it stands in."""
        return crates_of(self.fruit.size)


@dataclass(slots=True)
class Ledger:
    """What is counted beside the fates of fruit."""

    crates_moved: int = 0
    not_moved: int = 0
    revenue_minor: float = 0.0
    fullest: dict[int, int] = field(default_factory=dict)
    """The most crates that stood in each place."""


class Sorted(NamedTuple):
    """Which fruit seemed ``fit``, which too ``firm``, and how many past and were thrown away."""

    fit: Numbers
    firm: Numbers
    past: int


class Store:
    """A year under way; ``hour`` counts from midnight before its first day."""

    def __init__(self, year: Year, hand: Hand | None = None) -> None:
        self.year = year
        self.hour = 0.0
        self.lots: dict[int, Lot] = {}
        self.ledger = Ledger()
        number = year.fruit.stage.size
        self.fate = np.full(number, Fate.ON_THE_TREE)
        self._fruit = year.fruit.of(np.arange(number))
        self._room = np.zeros(number, dtype=np.intp)
        self.squeezed_h = np.full(number, np.nan)
        """When each fruit was last squeezed at packing."""
        self._draw = np.random.default_rng([year.seed, 1])
        self._hand = hand or Hand(self._draw)
        self._half_cooling_h = np.array([room.half_cooling_h for room in year.rooms])
        self._next = 0

    # Time

    def advance(self, hour: float) -> None:
        """Let time go by until an hour; with every new day the hand has another bias."""
        while self.hour < hour:
            if self.hour % 24.0 == 0.0:
                self._hand.new_day()
            step = min(_STEP_H, hour - self.hour)
            here = np.flatnonzero(self.fate == Fate.IN_STORE)
            air = np.array([room.air_c(self.hour + step / 2.0) for room in self.year.rooms])
            where = self._room[here]
            self._fruit.soften(
                here, air[where], self._half_cooling_h[where], step, self.year.nature
            )
            self.hour += step

    # Rooms

    def space(self, room: int) -> int:
        """Crates that still fit into a place."""
        holds = self.year.rooms[room].crates
        return 10**6 if holds is None else holds - self.standing(room)

    def standing(self, room: int) -> int:
        """Crates that stand in a place."""
        return sum(lot.crates for lot in self.lots.values() if lot.room == room)

    def receive(self, pick: Pick, rooms: Sequence[int]) -> list[int]:
        """Put a pick into the first of the places that has room for it, crate by crate."""
        rest, made = self._draw.permutation(pick.fruit), []
        for room in rooms:
            some, rest = np.split(rest, [max(0, self.space(room)) * FRUIT_PER_CRATE])
            if some.size:
                self.fate[some] = Fate.IN_STORE
                made.append(self._new_lot(Lot(pick, some, [(self.hour, room)])))
                self._room[some] = room
                self._note_fullest(room)
        if rest.size:
            raise ValueError("The last place must hold any number of crates.")
        return made

    def held(self, lot_id: int, crates: int) -> int:
        """Fruit in some crates of a lot: all of them hold alike many, so that it does not matter
        which are taken."""
        lot = self.lots[lot_id]
        if crates >= lot.crates:
            return int(lot.fruit.size)
        return max(1, round(lot.fruit.size * crates / lot.crates))

    def part(self, lot_id: int, fruit: int) -> int:
        """Part so many fruit of a lot from the rest, as they come; the new lot."""
        lot = self.lots[lot_id]
        some = self.some_of(lot_id, fruit)
        lot.fruit = np.setdiff1d(lot.fruit, some)
        return self._new_lot(Lot(lot.pick, some, list(lot.been)))

    def carry(self, lot_id: int, crates: int, room: int) -> int | None:
        """Carry crates of a lot to a place, as many as it has room for; the lot that was moved,
        which is a new one if not all went. None if none fitted."""
        fits = min(crates, self.lots[lot_id].crates, self.space(room))
        if fits <= 0:
            return None
        lot_id = self._put(lot_id, fits, room)
        self._note_fullest(room)
        return lot_id

    def _put(self, lot_id: int, crates: int, room: int) -> int:
        if crates < self.lots[lot_id].crates:
            lot_id = self.part(lot_id, self.held(lot_id, crates))
        lot = self.lots[lot_id]
        lot.been.append((self.hour, room))
        self._room[lot.fruit] = room
        self.ledger.crates_moved += lot.crates
        return lot_id

    def carry_together(self, carried: Sequence[tuple[int, int, int]]) -> list[int]:
        """Carry crates of lots to places, each ``(lot, crates, room)``: what is carried stands on
        the floor until all of it is out. The lots that were moved; where not all of them fit
        afterwards, none is, and they count as not moved."""
        free: dict[int, int] = {}
        for lot_id, crates, room in carried:
            here = self.lots[lot_id].room
            free[here] = free.get(here, self.space(here)) + crates
            free[room] = free.get(room, self.space(room)) - crates
        if any(free[room] < 0 for _, _, room in carried):
            self.ledger.not_moved += sum(crates for _, crates, _ in carried)
            return []
        made = [self._put(lot_id, crates, room) for lot_id, crates, room in carried]
        for _, _, room in carried:
            self._note_fullest(room)
        return made

    # Hands

    def some_of(self, lot_id: int, fruit: int) -> Numbers:
        """So many fruit of a lot at random, all if it has no more."""
        own = self.lots[lot_id].fruit
        return np.sort(self._draw.choice(own, min(fruit, own.size), replace=False))

    def squeeze(self, lot_id: int, fruit: int) -> tuple[int, int, int, int, int]:
        """How some fruit of a lot feel: so many of each feel, from hard to too soft."""
        return self._hand.feels(self._fruit.of(self.some_of(lot_id, fruit)))

    def pack(
        self, lot_id: int, fruit: int, market: Market, most: int, seen: Numbers = _NOTHING
    ) -> "Sorted":
        """Squeeze so many fruit of a lot, none of them ``seen`` already, until ``most`` seem fit
        for a market; what seems past is thrown away."""
        unseen = np.setdiff1d(self.lots[lot_id].fruit, seen)
        some = self._draw.choice(unseen, min(fruit, unseen.size), replace=False)
        some = self._draw.permutation(some)
        fit, past = self._hand.sorts(self._fruit.of(some), float(market.eat_within_days))
        enough = np.flatnonzero(np.cumsum(fit) >= most)
        looked_at = np.arange(some.size) <= (enough[0] if enough.size else some.size)
        if not most:
            return Sorted(some[:0], some[:0], 0)
        self.squeezed_h[some[looked_at]] = self.hour
        gone = some[past & looked_at]
        self._take(lot_id, gone, Fate.THROWN)
        return Sorted(some[fit & looked_at], some[looked_at & ~fit & ~past], int(gone.size))

    def fit_share(self, lot_id: int, market: Market) -> float:
        """Which share of a lot's fruit a market's buyers would have at its best; 0 of none."""
        if lot_id not in self.lots:
            return 0.0
        own = self._fruit.of(self.lots[lot_id].fruit)
        return float(own.best_within(market.eat_within_days, self.year.nature).mean())

    def conditions(self, market: Market) -> tuple[Numbers, Numbers]:
        """What each fruit is to a market's buyers now, and the place in which it is or was."""
        fruit = self._fruit
        found = np.where(
            fruit.ready_within(market.eat_within_days, self.year.nature),
            Condition.FIT,
            Condition.FIRM,
        )
        found[fruit.past] = Condition.PAST
        found[self.fate != Fate.IN_STORE] = Condition.GONE
        return found, self._room.copy()

    def part_of(self, lot_id: int, some: Numbers) -> int:
        """Part some fruit of a lot from the rest; the new lot, or the old one if that is all."""
        lot = self.lots[lot_id]
        if some.size == lot.fruit.size:
            return lot_id
        lot.fruit = np.setdiff1d(lot.fruit, some)
        return self._new_lot(Lot(lot.pick, np.sort(some), list(lot.been)))

    def sell(self, market: Market, packed: Mapping[int, Numbers]) -> dict[int, int]:
        """Sell what was packed, as far as buyers come; how many of each lot. The rest come back."""
        every = np.concatenate([np.zeros(0, np.intp), *packed.values()])
        sold = self._draw.permutation(every)[: market.buyers]
        best = self._fruit.of(sold).best_within(market.eat_within_days, self.year.nature)
        found = {}
        for lot_id, fruit in packed.items():
            own = np.isin(sold, fruit)
            self._take(lot_id, sold[own & best], Fate.SOLD_AT_BEST)
            self._take(lot_id, sold[own & ~best], Fate.DISAPPOINTED)
            found[lot_id] = int(own.sum())
        full = min(sold.size, market.wanted)
        self.ledger.revenue_minor += market.price_minor * (full + 0.5 * (sold.size - full))
        return found

    def throw(self, lot_id: int, fruit: int) -> int:
        """Throw so many fruit of a lot away, as they come."""
        some = self.some_of(lot_id, fruit)
        self._take(lot_id, some, Fate.THROWN)
        return int(some.size)

    def clear_rotten(self) -> dict[int, int]:
        """Throw away what anybody sees is rotten; how many of each lot."""
        found = {}
        for lot_id in list(self.lots):
            own = self.lots[lot_id].fruit
            rotten = own[self._fruit.of(own).rotten]
            if rotten.size:
                self._take(lot_id, rotten, Fate.THROWN)
                found[lot_id] = int(rotten.size)
        return found

    def _take(self, lot_id: int, fruit: Numbers, fate: Fate) -> None:
        if not fruit.size:
            return
        lot = self.lots[lot_id]
        lot.fruit = np.setdiff1d(lot.fruit, fruit)
        self.fate[fruit] = fate
        if not lot.fruit.size:
            del self.lots[lot_id]

    def _new_lot(self, lot: Lot) -> int:
        self._next += 1
        self.lots[self._next] = lot
        return self._next

    def _note_fullest(self, room: int) -> None:
        fullest = self.ledger.fullest
        fullest[room] = max(fullest.get(room, 0), self.standing(room))

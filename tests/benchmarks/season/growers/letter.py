"""A grower who follows the plan to the letter, and does nothing else.

Every evening what happened is written down, the fruit that the program wants squeezed is squeezed,
a plan is made and what its list for tonight says is done, in its order: clear first, then carry.
Before a market crates are opened in the order of its packing list, until enough fruit seems fit;
all that was squeezed is written down, and what seems fit is sold.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from ripenroom.season import actions
from ripenroom.season.actions.packing import Squeezed
from ripenroom.season.advice.check_next import check_next
from ripenroom.season.amounts import fruit_left
from ripenroom.season.plans.plan import Carrying, Clearing, Plan, PlannedItinerary, Tonight
from ripenroom.season.plans.tonight import tonight
from tests.benchmarks.season.growers.written import Written
from tests.benchmarks.season.held import RangesHeld
from tests.benchmarks.season.truth.fruit import Numbers
from tests.benchmarks.season.truth.store import Store
from tests.benchmarks.season.truth.year import (
    BIN,
    COLD,
    COUNTER,
    SHELF,
    Market,
    Pick,
)
from tests.season.plans.planning import plan_of

FELT_AT_PICK = 15
"""So many fruit of each pick are felt."""

_ORCHARD_C = 22.0


@dataclass(slots=True)
class _Opened:
    """Fruit of a batch that was squeezed at packing, and how many of it were thrown away."""

    fit: Numbers = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    firm: Numbers = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    past: int = 0

    def squeezed(self, batch_id: str) -> Squeezed:
        """As it is written down."""
        return Squeezed(batch_id, self.fit.size, self.firm.size, self.past)


class ToTheLetter:
    """Keeps the season file of a farm and does what it says; ``ranges`` are held to the truth."""

    def __init__(self, store: Store, ranges: RangesHeld | None = None) -> None:
        self.store = store
        self._ranges = ranges
        self._written = Written(store.year)
        self._lot: dict[str, int] = {}
        self._batch: dict[int, str] = {}
        self._plan: Plan | None = None
        self._tonight = Tonight((), ())
        self._as_moved: list[PlannedItinerary] = []

    def close(self) -> None:
        """Put the season file away."""
        self._written.close()

    def sell(self, number: int, market: Market) -> None:
        """Open crates in the order of the packing list until enough seems fit, write down what
        was squeezed, sell it, and write down what became of it."""
        self._keep_time()
        living = self._written.living
        living.learn()
        plan = None if self._plan is None else replace(self._plan, lines=tuple(self._as_moved))
        opened: dict[str, _Opened] = {}
        for crop in living.ask.packing_list(str(number), plan).crops:
            if self._ranges is not None:
                own = {line.batch_id: self._lot[line.batch_id] for line in crop.take}
                fit_shares = {key: self.store.fit_share(lot, market) for key, lot in own.items()}
                self._ranges.add(crop, fit_shares)
            still = crop.still
            for line in (*crop.take, *crop.open_next):
                if still <= 0:
                    break
                found = opened.setdefault(line.batch_id, _Opened())
                still -= self._open(found, line.batch_id, line.fruit, market, still)
        squeezed = [own.squeezed(batch_id) for batch_id, own in opened.items()]
        fit = {batch_id: own.fit for batch_id, own in opened.items() if own.fit.size}
        if any(one.fruit for one in squeezed):
            living.do(actions.packing.pack_squeezed, str(number), squeezed, self._written.now)
        packed: dict[int, Numbers] = {}
        for pin in living.book.pins.values():
            if pin.market_day_id == str(number) and pin.packed_at is not None:
                batch = living.book.batches[pin.batch_id]
                came_of = batch.id if batch.id in fit else batch.split_from or ""
                lot_id = self.store.part_of(self._lot[came_of], fit[came_of])
                self._know(lot_id, batch.id)
                packed[lot_id] = fit[came_of]
        sold = self.store.sell(market, packed)
        self._written.sold(
            number, {self._batch[lot]: (own.size, sold[lot]) for lot, own in packed.items()}
        )

    def _open(self, own: "_Opened", batch_id: str, fruit: int, market: Market, still: int) -> int:
        """Open crates of a batch for so many fruit that are still to be packed; how many were."""
        lot_id = self._lot[batch_id]
        if lot_id not in self.store.lots:
            return 0
        found = self.store.pack(lot_id, fruit, market, still, np.concatenate([own.fit, own.firm]))
        own.fit, own.firm = np.append(own.fit, found.fit), np.append(own.firm, found.firm)
        own.past += found.past
        return int(found.fit.size)

    def picked(self, pick: Pick) -> None:
        """Put it into the cold for now, feel some of it and write it down."""
        self._keep_time()
        cultivar = self.store.year.cultivars[pick.cultivar]
        for lot_id in self.store.receive(pick, (COLD, SHELF, COUNTER, BIN)):
            lot = self.store.lots[lot_id]
            felt = self.store.squeeze(lot_id, FELT_AT_PICK)
            batch = self._written.pick(cultivar, lot.room, lot.fruit.size, felt, _ORCHARD_C)
            self._know(lot_id, batch)

    def cleared(self, rotten: Mapping[int, int]) -> None:
        """Write down what was thrown away."""
        self._keep_time()
        for lot_id, count in rotten.items():
            self._written.thrown(self._batch[lot_id], count)

    def plan_evening(self) -> None:
        """Squeeze what is worth knowing, learn from it, and plan."""
        living = self._written.living
        for check in check_next(living.state):
            felt = self.store.squeeze(self._lot[check.batch_id], check.fruit)
            self._written.check(check.batch_id, felt)
        living.learn()
        self._plan = plan_of(living, self._plan)
        today = living.now().date()
        self._tonight = tonight(
            living.book,
            living.crops,
            self._plan,
            living.projection(),
            self._place_of,
            today,
            living.zone,
        )

    def move(self) -> None:
        """Do what the list of tonight says, from the top to the bottom."""
        self._keep_time()
        goes: dict[PlannedItinerary, str] = {}
        cleared: set[PlannedItinerary] = set()
        for evening in self._tonight.evenings:
            for clearing in evening.clear:
                self._clear(clearing)
                cleared.add(clearing.line)
            for carrying in evening.carry:
                goes |= self._carry(carrying)
        self._as_moved = [
            replace(line, batch_id=goes[line], steps=line.steps[1:]) if line in goes else line
            for line in (self._plan.lines if self._plan is not None else ())
            if line.batch_id and line not in cleared
        ]

    def fruit_written(self) -> Iterator[tuple[str, int, str]]:
        """Each batch of the season file, its fruit, and its place."""
        living = self._written.living
        for batch in living.book.batches.values():
            place = living.place_of(batch.id)
            if place is not None:
                yield batch.id, round(fruit_left(living.book, living.crops, batch)), place.id

    def batch_of(self, lot_id: int) -> str:
        """The batch that a lot is written down as."""
        return self._batch[lot_id]

    def _clear(self, clearing: Clearing) -> None:
        lot_id = self._lot[clearing.line.batch_id]
        fruit = self.store.held(lot_id, clearing.crates)
        self._written.thrown(clearing.line.batch_id, self.store.throw(lot_id, fruit))

    def _carry(self, carrying: Carrying) -> dict[PlannedItinerary, str]:
        """Carry what a step of the list says, all of it or nothing; the batches that moved."""
        carried = [
            (self._lot[line.batch_id], line.crates, int(line.steps[0].place_id))
            for line in carrying.lines
        ]
        made = self.store.carry_together(carried)
        found = {}
        for line, lot_id in zip(carrying.lines, made, strict=False):
            found[line] = self._written.living.do(
                actions.carrying.carry_out, line, self._written.now
            )
            self._know(lot_id, found[line])
        return found

    def _place_of(self, batch_id: str) -> str | None:
        place = self._written.living.place_of(batch_id)
        return None if place is None else place.id

    def _know(self, lot_id: int, batch_id: str) -> None:
        self._lot[batch_id], self._batch[lot_id] = lot_id, batch_id

    def _keep_time(self) -> None:
        self._written.now = self._written.moment(self.store.hour)

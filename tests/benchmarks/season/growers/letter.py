"""A grower who follows the plan to the letter, and does nothing else.

Every evening what happened is written down, the fruit that the program wants squeezed is squeezed,
a plan is made and what its list for tonight says is done, in its order: clear first, then carry.
To a market goes what last evening's plan brings there; each of these fruit is squeezed at packing,
and what seems fit is sold.
"""

from collections.abc import Iterator, Mapping

from ripenroom.season.advice.check_next import check_next
from ripenroom.season.changes.amounts_left import fruit_left
from ripenroom.season.plans.evenings import Carrying, Clearing, Tonight
from ripenroom.season.plans.plan import PlannedLine
from ripenroom.season.plans.tonight import tonight
from tests.benchmarks.season.growers.written import Written
from tests.benchmarks.season.truth.fruit import Numbers
from tests.benchmarks.season.truth.store import Store
from tests.benchmarks.season.truth.year import (
    BIN,
    COLD,
    COUNTER,
    FRUIT_PER_CRATE,
    SHELF,
    Market,
    Pick,
)

_UNHURRIED_S = 600.0
"""A plan is as good as on any machine: the work is counted, so it ends by itself long before."""

FELT_AT_PICK = 15
"""So many fruit of each pick are felt."""

_ORCHARD_C = 22.0


class ToTheLetter:
    """Keeps the season file of a farm and does what it says."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._written = Written(store.year)
        self._lot: dict[str, int] = {}
        self._batch: dict[int, str] = {}
        self._lines: tuple[PlannedLine, ...] = ()
        self._tonight = Tonight((), ())
        self._bring: dict[str, dict[str, int]] = {}

    def close(self) -> None:
        """Put the season file away."""
        self._written.close()

    def sell(self, number: int, market: Market) -> None:
        """Pack what the plan brings, sell it, and write down what became of it."""
        self._keep_time()
        packed: dict[int, Numbers] = {}
        for batch_id, crates in self._bring.get(str(number), {}).items():
            lot_id = self._lot[batch_id]
            if lot_id not in self.store.lots:
                continue
            fruit = self.store.lots[lot_id].fruit.size
            fruit = min(fruit, crates * FRUIT_PER_CRATE)
            most = market.most - sum(fit.size for fit in packed.values())
            fit, past = self.store.pack(lot_id, fruit, market, most)
            if past:
                self._written.thrown(batch_id, past)
            if fit.size:
                packed[lot_id] = fit
        sold = self.store.sell(market, packed)
        self._written.sold(
            number, {self._batch[lot]: (fit.size, sold[lot]) for lot, fit in packed.items()}
        )

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
        for check in check_next(
            living.book, living.crops, living.now(), living.zone, living.learned
        ):
            felt = self.store.squeeze(self._lot[check.batch_id], check.fruit)
            self._written.check(check.batch_id, felt)
        living.learn()
        plan = living.plan(seconds=_UNHURRIED_S)
        self._lines = plan.lines
        today = living.now().date()
        self._tonight = tonight(
            living.book, plan, living.projection(), self._place_of, today, living.zone
        )

    def move(self) -> None:
        """Do what the list of tonight says, from the top to the bottom."""
        self._keep_time()
        goes = {line: line.batch_id for line in self._lines}
        for evening in self._tonight.evenings:
            for clearing in evening.clear:
                self._clear(clearing)
            for carrying in evening.carry:
                goes |= self._carry(carrying)
        self._bring = {}
        for line in self._lines:
            if line.market_day_id is not None and goes[line]:
                brought = self._bring.setdefault(line.market_day_id, {})
                brought[goes[line]] = brought.get(goes[line], 0) + line.crates

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
        fruit = min(clearing.crates * FRUIT_PER_CRATE, self.store.lots[lot_id].fruit.size)
        self._written.thrown(clearing.line.batch_id, self.store.throw(lot_id, fruit))

    def _carry(self, carrying: Carrying) -> dict[PlannedLine, str]:
        """Carry what a step of the list says, all of it or nothing; the batches that moved."""
        carried = [
            (self._lot[line.batch_id], line.crates, int(line.steps[0].place_id))
            for line in carrying.lines
        ]
        made = self.store.carry_together(carried)
        found = {}
        for line, lot_id in zip(carrying.lines, made, strict=False):
            found[line] = self._written.living.plans.carry_out(line, self._written.now)
            self._know(lot_id, found[line])
        return found

    def _place_of(self, batch_id: str) -> str | None:
        place = self._written.living.place_of(batch_id)
        return None if place is None else place.id

    def _know(self, lot_id: int, batch_id: str) -> None:
        self._lot[batch_id], self._batch[lot_id] = lot_id, batch_id

    def _keep_time(self) -> None:
        self._written.now = self._written.moment(self.store.hour)

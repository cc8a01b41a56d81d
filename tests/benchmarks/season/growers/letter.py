"""A grower who follows the plan to the letter, and does nothing else.

Every evening what happened is written down, the fruit that the program wants squeezed is squeezed,
a plan is made and tonight's moves of it are made, in the order of its lines. To a market goes what
last evening's plan brings there; each of these fruit is squeezed at packing, and what seems fit is
sold.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ripenroom.season.advice.check_next import check_next
from ripenroom.season.changes.amounts_left import fruit_left
from ripenroom.season.plans.plan import PlannedLine
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
        self._lines = living.plan(seconds=_UNHURRIED_S).lines

    def move(self) -> None:
        """Make tonight's moves; what does not fit at first is tried again after the others."""
        self._keep_time()
        waiting, self._bring = [], {}
        for line in self._lines:
            if line.batch_id and not self._done(line, whole=True):
                waiting.append(line)
        for line in waiting:
            self._done(line, whole=False)

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

    def _done(self, line: PlannedLine, whole: bool) -> bool:
        """Do what a line says for tonight; whether it is done. A ``whole`` line waits if not all of
        its crates fit."""
        lot_id, crates = self._lot[line.batch_id], line.crates
        if lot_id not in self.store.lots:
            return True
        if self._is_cleared(line):
            fruit = min(crates * FRUIT_PER_CRATE, self.store.lots[lot_id].fruit.size)
            self._written.thrown(line.batch_id, self.store.throw(lot_id, fruit))
            return True
        batch_id = line.batch_id
        if line.steps and line.steps[0].at <= self._written.now:
            room = int(line.steps[0].place_id)
            fits = min(crates, self.store.space(room))
            if whole and fits < crates:
                return False
            self.store.ledger.not_moved += crates - max(fits, 0)
            moved = self.store.carry(lot_id, crates, room)
            if moved is not None:
                part = replace(line, crates=fits)
                batch_id = self._written.living.plans.carry_out(part, self._written.now)
                self._know(moved, batch_id)
                if fits < crates:
                    self._to_bring(line, line.batch_id, crates - fits)
                    crates = fits
        self._to_bring(line, batch_id, crates)
        return True

    @staticmethod
    def _is_cleared(line: PlannedLine) -> bool:
        nowhere = line.market_day_id is None and line.to_place_id is None
        return nowhere and not line.second_grade

    def _to_bring(self, line: PlannedLine, batch_id: str, crates: int) -> None:
        if line.market_day_id is not None:
            brought = self._bring.setdefault(line.market_day_id, {})
            brought[batch_id] = brought.get(batch_id, 0) + crates

    def _know(self, lot_id: int, batch_id: str) -> None:
        self._lot[batch_id], self._batch[lot_id] = lot_id, batch_id

    def _keep_time(self) -> None:
        self._written.now = self._written.moment(self.store.hour)

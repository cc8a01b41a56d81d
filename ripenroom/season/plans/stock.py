"""Fruit that is at home before a market day, in groups of crates that a plan treats alike."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from ripenroom.planning.choices import Journeys
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay
from ripenroom.season.amounts import (
    LEAST_FRUIT,
    crates_of,
    fruit_in,
    packed_fruit,
    whole_fruit,
)
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.moments import CLOCK_SLACK, to_hours
from ripenroom.season.plans.plan import Plan, PlannedItinerary


@dataclass(frozen=True, slots=True)
class Heap:
    """Crates of a batch that the plan does one thing with: ``planned`` is its line, if any."""

    number: int
    batch_id: str
    crop: str
    crates: int
    fruit: int
    planned: PlannedItinerary | None


class Stock:
    """All crates at hand of the crops that are asked for, but those that stand packed, and those
    that are planned to be gone when the market day begins."""

    def __init__(
        self,
        book: Book,
        crops: Mapping[str, CropProfile],
        day: MarketDay,
        lines: BatchColumns,
        now: datetime,
        planned: Sequence[PlannedItinerary],
        asked: Sequence[str],
    ) -> None:
        self.book, self.day, self.lines = book, day, lines
        self.now_h = to_hours(now)
        self._packed: dict[str, int] = {}
        left = lines.left_at(np.array([to_hours(now + CLOCK_SLACK)]))[:, 0]
        some_packed = {pin.batch_id for pin in book.pins.values() if pin.packed_at is not None}
        self.heaps: list[Heap] = []
        for number, batch_id in enumerate(lines.ids):
            batch, fruit = book.batches[batch_id], float(left[number])
            picked = batch.picked_at <= now + CLOCK_SLACK
            if batch.crop not in asked or fruit < LEAST_FRUIT or not picked:
                continue
            per_crate = crops[batch.crop].fruit_per_crate.value
            if batch_id in some_packed:
                away = packed_fruit(book, crops, batch, fruit)
                mine = whole_fruit(away.get(day.id, 0.0))
                self._packed[batch.crop] = self._packed.get(batch.crop, 0) + mine
                fruit -= sum(away.values())
            crates = crates_of(fruit, per_crate)
            own = [line for line in planned if line.batch_id == batch_id and not line.packed]
            heap = Heap(number, batch_id, batch.crop, crates, whole_fruit(fruit), None)
            self.heaps += self._parted(heap, per_crate, own)

    def packed(self, crop: str) -> int:
        """Fruit of a crop that stand packed for the market day."""
        return self._packed.get(crop, 0)

    def _parted(
        self, whole: Heap, per_crate: float, lines: Sequence[PlannedItinerary]
    ) -> list[Heap]:
        """What a batch holds by what is planned with it: for this market day first; what
        leaves before is nobody's to take."""
        mine: list[PlannedItinerary] = []
        before: list[PlannedItinerary] = []
        others: dict[str | None, PlannedItinerary] = {}
        for line in lines:
            if line.market_day_id == self.day.id:
                mine.append(line)
            elif self._leaves_before(line):
                before.append(line)
            else:
                known = others.get(line.market_day_id, replace(line, crates=0))
                others[line.market_day_id] = replace(known, crates=known.crates + line.crates)
        found: list[Heap] = []
        crates, fruit = whole.crates, whole.fruit
        ways: list[PlannedItinerary | None] = [*mine, *before, *others.values(), None]
        for way in ways:
            some = crates if way is None else min(way.crates, crates)
            held = round(fruit_in(some, fruit, per_crate))
            if some and held and way not in before:
                found.append(replace(whole, crates=some, fruit=held, planned=way))
            crates, fruit = crates - some, fruit - held
        return found

    def _leaves_before(self, line: PlannedItinerary) -> bool:
        """Whether crates go to another market day, or for second grade, before this one begins."""
        other = self.book.market_days.get(line.market_day_id or "")
        if other is not None:
            return other.starts_at <= self.day.starts_at
        sold_at = line.pull_at if line.second_grade else None
        return sold_at is not None and sold_at <= self.day.starts_at


def journeys(stock: Stock) -> Journeys:
    """Of every heap the moves that are planned and still to be made; what has none stays where it
    is, but for what is written down. So a heap is looked at as it will stand when the market day
    begins, and as it goes on to its own."""
    lines = stock.lines
    moves: tuple[list[tuple[float, int]], list[tuple[float, int]]] = ([], [])
    for heap in stock.heaps:
        written = set(lines.stays.start_h[heap.number].tolist())
        steps = heap.planned.steps if heap.planned is not None else ()
        new = [step for step in steps if to_hours(step.at) not in written][-2:]
        for step, found in zip([None, None, *new][-2:], moves, strict=True):
            found.append(
                (np.nan, -1)
                if step is None
                else (to_hours(step.at), lines.place_ids.index(step.place_id))
            )
    stay = np.array([lines.stays.place[heap.number, -1] for heap in stock.heaps], dtype=np.intp)
    (first_h, first), (last_h, last) = (np.array(found, dtype=float).T for found in moves)
    return Journeys(
        batch=np.array([heap.number for heap in stock.heaps], dtype=np.intp),
        move_h=last_h,
        place=np.where(last < 0, stay, last).astype(np.intp),
        first_h=first_h,
        first_place=first.astype(np.intp),
    )


def crops_of(book: Book, plan: Plan) -> tuple[str, ...]:
    """Keys of the crops whose picked crates a plan decides on, each once."""
    batches = book.batches
    ids = (line.batch_id for line in plan.lines if line.batch_id in batches)
    return tuple(dict.fromkeys(batches[batch_id].crop for batch_id in ids))


def keeps_any(book: Book, plan: Plan, crops: Collection[str]) -> bool:
    """Whether a plan keeps crates of some crops for market days that are not entered yet."""
    batches = book.batches
    return any(
        line.kept and line.batch_id in batches and batches[line.batch_id].crop in crops
        for line in plan.lines
    )

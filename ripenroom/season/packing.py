"""What to take to a market day, what to open next if too little feels ready, what to leave.

Every fruit is squeezed at packing, so that of 100 planned some 70 feel ready, and which is not
known before. The list says how many fruit to bring in all, and in which order to open crates until
there are as many: first what the plan brings, the readiest first; then what the plan has no market
day for, by what it is worth; last what it keeps for another one, by what that costs the plan.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from ripenroom.planning.problem import MORE_SHARE
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay
from ripenroom.season.actions.packing import require_packable
from ripenroom.season.buyers import days_of
from ripenroom.season.crop_constants import buyers_days
from ripenroom.season.packing_outlook import NO_FRUIT, HeapsAtPacking, Prices
from ripenroom.season.plans.demand import days_in_sight
from ripenroom.season.plans.journey_outlook import JourneyOutlook
from ripenroom.season.plans.plan import LikelyFruit, Plan, PlannedMarket
from ripenroom.season.plans.stock import Stock
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState

_LEAST_SHARE = 0.1
"""Fruit of which less than this will be ready is not worth squeezing."""


@dataclass(frozen=True, slots=True)
class PackLine:
    """Crates of a batch that stand in a place: of their ``fruit`` so many are expected to feel
    ready, with the range that holds them four times in five.

    ``planned`` crates are for this market day by the plan. ``later_day_id`` is the market day that
    they are for if they stay, None if there is none. If the plan sells them for second grade,
    ``second_grade_at`` says when; ``kept`` are those that it keeps for a market day that is not
    entered yet. ``moved_to_id`` is the place that the plan moves them to before, None if they stay
    in theirs.
    """

    batch_id: str
    place_id: str
    crates: int
    fruit: int
    ready: LikelyFruit
    later_day_id: str | None = None
    moved_to_id: str | None = None
    second_grade_at: datetime | None = None
    kept: bool = False
    planned: bool = False

    def with_crates_of(self, other: "PackLine") -> "PackLine":
        """The same with more crates of the batch: they are ready early or late together."""
        ready = (own + more for own, more in zip(self.ready, other.ready, strict=True))
        return replace(
            self,
            crates=self.crates + other.crates,
            fruit=self.fruit + other.fruit,
            ready=LikelyFruit(*ready),
        )


@dataclass(frozen=True, slots=True)
class PackingOfCrop:
    """A crop at a market day: ``bring`` so many fruit in all, of which ``packed`` stand packed.

    ``take`` is opened first, in its order; then, if too few feel ready, ``open_next``: enough of it
    in nine cases of ten, nothing that is past. ``leave`` stays where it is. ``ready`` is what
    ``take`` is expected to come to. Once enough is packed, nothing is opened. ``to_pick`` fruit of
    picks that are expected are planned for it too. Fruit that gets ready at its buyers' within
    ``eat_within_days`` counts as ready.
    """

    crop: str
    wanted: int
    bring: int
    packed: int
    ready: LikelyFruit
    take: tuple[PackLine, ...]
    open_next: tuple[PackLine, ...]
    leave: tuple[PackLine, ...]
    to_pick: int = 0
    eat_within_days: float = 0.0

    @property
    def enough(self) -> bool:
        """Whether no more are to be packed than are already."""
        return self.packed > 0 and not self.still

    @property
    def still(self) -> int:
        """Fruit that have still to be packed."""
        return max(0, self.bring - self.packed)

    @property
    def likely(self) -> tuple[PackLine, ...]:
        """What will probably be opened, in order: until as many as are still to be packed are
        expected to feel ready."""
        found: list[PackLine] = []
        ready = 0.0
        for line in (*self.take, *self.open_next):
            if ready >= self.still:
                break
            found.append(line)
            ready += line.ready.mid
        return tuple(found)

    def left_by_batch(self) -> dict[str, PackLine]:
        """What is left, one line for each batch, whatever its crates are for."""
        found: dict[str, PackLine] = {}
        for line in self.leave:
            known = found.get(line.batch_id)
            found[line.batch_id] = line if known is None else known.with_crates_of(line)
        return found


@dataclass(frozen=True, slots=True)
class PackingList:
    """What to pack for a market day, crop by crop."""

    market_day_id: str
    crops: tuple[PackingOfCrop, ...]

    def with_buyers_days(self, day: MarketDay, crops: Mapping[str, CropProfile]) -> "PackingList":
        """The same, saying within how many days its buyers eat each crop."""
        found = (
            replace(one, eat_within_days=days_of(day, buyers_days(crops[one.crop])))
            for one in self.crops
        )
        return replace(self, crops=tuple(found))


def packing_list(state: SeasonState, market_day_id: str, plan: Plan | None) -> PackingList:
    """The packing list of a market day, as on ``now``; without a ``plan`` nothing is planned for
    it, and everything is opened in the order of what it is worth there."""
    day = require_packable(state.book, market_day_id)
    return _packing_list(state, day, plan).with_buyers_days(day, state.crops)


def _packing_list(state: SeasonState, day: MarketDay, plan: Plan | None) -> PackingList:
    wanted = {
        want.crop: want
        for want in state.book.wants.values()
        if want.market_day_id == day.id and want.count
    }
    planned = tuple(
        line for line in (plan.lines if plan else ()) if line.batch_id in state.book.batches
    )
    to_pick = _to_pick(state.book, day, plan)
    mine = {
        state.book.batches[line.batch_id].crop for line in planned if line.market_day_id == day.id
    }
    asked = [key for key in state.crops if key in wanted or key in mine]
    projector = Projector.of(state)
    outlook = projector.outlook(state.book, state.now)
    lines = outlook.lines
    stock = Stock(state.book, state.crops, day, lines, state.now, planned, asked)
    if not stock.heaps:
        found = [
            PackingOfCrop(
                crop=crop,
                wanted=wanted[crop].count,
                bring=wanted[crop].count,
                packed=stock.packed(crop),
                ready=NO_FRUIT,
                take=(),
                open_next=(),
                leave=(),
                to_pick=to_pick.get(crop, 0),
            )
            for crop in asked
            if crop in wanted
        ]
        return PackingList(day.id, tuple(found))
    prices = Prices(state.book, day, state.now, plan)
    later = [one for one in days_in_sight(state.book, state.now) if one.starts_at > day.starts_at]
    looked = HeapsAtPacking(
        stock,
        JourneyOutlook(projector, state.book, state.now, lines),
        [day, *later],
        prices,
        outlook.eat_by.closes.mid,
    )
    told = {one.crop: one for one in plan.markets if one.market_day_id == day.id} if plan else {}
    found = [
        _of_crop(crop, wanted[crop].count if crop in wanted else 0, stock, looked, told.get(crop))
        for crop in asked
    ]
    return PackingList(
        day.id, tuple(replace(crop, to_pick=to_pick.get(crop.crop, 0)) for crop in found)
    )


def _to_pick(book: Book, day: MarketDay, plan: Plan | None) -> dict[str, int]:
    """Fruit of each crop that is planned for a market day and nobody has picked yet."""
    fruit: dict[str, float] = {}
    for line in plan.lines if plan is not None else ():
        pick = book.expected_picks.get(line.expected_pick_id or "")
        if pick is not None and line.market_day_id == day.id:
            fruit[pick.crop] = fruit.get(pick.crop, 0.0) + line.fruit
    return {crop: round(number) for crop, number in fruit.items()}


def _of_crop(
    crop: str, wanted: int, stock: Stock, looked: HeapsAtPacking, told: PlannedMarket | None
) -> PackingOfCrop:
    own = [n for n, heap in enumerate(stock.heaps) if heap.crop == crop]
    day_id = stock.day.id

    def planned_here(n: int) -> bool:
        line = stock.heaps[n].planned
        return line is not None and line.market_day_id == day_id

    def line_of(n: int) -> PackLine:
        heap = stock.heaps[n]
        at = stock.lines.stays.at(np.full((len(stock.lines.ids), 1), stock.now_h))[heap.number, 0]
        place = stock.lines.place_ids[stock.lines.stays.place[heap.number, at]]
        later, line = looked.kept(n)[1], heap.planned
        steps = line.steps if line is not None else ()
        before = [step.place_id for step in steps if step.at < stock.day.starts_at]
        second = line.pull_at if line is not None and line.second_grade else None
        return PackLine(
            batch_id=heap.batch_id,
            place_id=place,
            crates=heap.crates,
            fruit=heap.fruit,
            ready=looked.ready([n]),
            later_day_id=later,
            moved_to_id=before[-1] if before and before[-1] != place else None,
            second_grade_at=second,
            kept=line is not None and line.kept,
            planned=planned_here(n),
        )

    take = sorted(filter(planned_here, own), key=lambda n: -looked.share(n))
    others = sorted((n for n in own if n not in take), key=looked.order)
    ready = _as_planned(looked.ready(take), sum(stock.heaps[n].fruit for n in take), told)
    good = [n for n in others if looked.share(n) >= _LEAST_SHARE and not looked.past(n)]
    worth = [n for n in good if looked.gain(n) > 0.0]
    more = round(MORE_SHARE * wanted)
    spare = sum(looked.ready([n]).mid for n in (*take, *worth) if looked.has_nowhere_else(n))
    # Buyers take some more at a lower price, which pays for what the plan brings beyond what is
    # wanted, and for fruit that has no better day ahead.
    beyond = max(round(spare), round(ready.high) - wanted, 0)
    bring = wanted + min(more, beyond)
    packed = stock.packed(crop)
    if packed and packed >= bring:
        take, others, worth, ready = [], [*take, *others], [], NO_FRUIT
    open_next: list[int] = []
    for n in worth:
        if looked.ready([*take, *open_next]).low >= bring - packed:
            break
        open_next.append(n)
    leave = [n for n in others if n not in open_next]
    return PackingOfCrop(
        crop=crop,
        wanted=wanted,
        bring=bring,
        packed=packed,
        ready=ready,
        take=tuple(map(line_of, take)),
        open_next=tuple(map(line_of, open_next)),
        leave=tuple(map(line_of, leave)),
    )


def _as_planned(ready: LikelyFruit, fruit: int, told: PlannedMarket | None) -> LikelyFruit:
    """What will be ready of so many fruit, with the plan's own range where they are all that it
    brings: one number has one range, and those of other truths are a few fruit off."""
    if told is None or abs(told.planned - fruit) >= 1.0 or abs(told.ready.mid - ready.mid) >= 0.5:
        return ready
    return told.ready

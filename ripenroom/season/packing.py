"""What to take to a market day, what to open next if too little feels ready, what to leave.

Every fruit is squeezed at packing, so that of 100 planned some 70 feel ready, and which is not
known before. The list says how many fruit to bring in all, and in which order to open crates until
there are as many: first what the plan brings, the readiest first, then whatever is worth most.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from ripenroom.planning.caution import WAITING
from ripenroom.planning.choices import LEAST_SHARE
from ripenroom.planning.problem import MORE_PRICE, MORE_SHARE
from ripenroom.planning.prospects import Prospects
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.science.supply import ready_over_truths
from ripenroom.season.actions.packing import require_packable
from ripenroom.season.buyers import days_of
from ripenroom.season.crop_constants import buyers_days
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.demand import days_in_sight, usual_prices
from ripenroom.season.plans.journey_outlook import JourneyOutlook, SaleTimes
from ripenroom.season.plans.plan import LikelyFruit, Plan
from ripenroom.season.plans.stock import Stock, journeys
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState

_TRUTHS, _SEED = 200, 7
_LEAST_SHARE = 0.1
"""Fruit of which less than this will be ready is not worth squeezing."""


@dataclass(frozen=True, slots=True)
class PackLine:
    """Crates of a batch that stand in a place: of their ``fruit`` so many are expected to feel
    ready, with the range that holds them four times in five.

    ``later_day_id`` is the market day that they are for if they stay, None if there is none.
    ``moved_to_id`` is the place that the plan moves them to before, None if they stay in theirs.
    """

    batch_id: str
    place_id: str
    crates: int
    fruit: int
    ready: LikelyFruit
    later_day_id: str | None = None
    moved_to_id: str | None = None

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
                ready=_NONE,
                take=(),
                open_next=(),
                leave=(),
                to_pick=to_pick.get(crop, 0),
            )
            for crop in asked
            if crop in wanted
        ]
        return PackingList(day.id, tuple(found))
    prices = _Prices(state.book, day, state.now, plan)
    later = [one for one in days_in_sight(state.book, state.now) if one.starts_at > day.starts_at]
    looked = _Looked(
        stock,
        JourneyOutlook(projector, state.book, state.now, lines),
        [day, *later],
        prices,
        outlook.eat_by.closes.mid,
    )
    found = [
        _of_crop(crop, wanted[crop].count if crop in wanted else 0, stock, looked) for crop in asked
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


_NONE = LikelyFruit(0.0, 0.0, 0.0)


class _Prices:
    """What a fruit fetches on market days (minor units), and what is left of it after waiting."""

    def __init__(self, book: Book, day: MarketDay, now: datetime, plan: Plan | None) -> None:
        self._book, self._day = book, day
        self._wants = {(want.market_day_id, want.crop): want for want in book.wants.values()}
        markets = plan.markets if plan is not None else ()
        self._short = {(one.market_day_id, one.crop): one.shortage > 0.0 for one in markets}

    def of(self, crop: str, day: MarketDay, planned: bool) -> float:
        """The price of a fruit of a crop on a day; of what is brought there although enough goes
        already, the price of what is too much. 0 where it is not wanted."""
        want = self._wants.get((day.id, crop))
        if want is None or not want.count:
            return 0.0
        usual = float(usual_prices(self._book, [crop])[0])
        price = usual if want.price_minor is None else float(want.price_minor)
        if day.id == self._day.id:
            return price
        days = (day.starts_at - self._day.starts_at).total_seconds() / 86_400.0
        enough = not planned and not self._short.get((day.id, crop), True)
        return price * max(0.0, 1.0 - WAITING * days) * (MORE_PRICE if enough else 1.0)


class _Looked:
    """Every heap on the market day and on later ones, over sampled truths."""

    def __init__(
        self,
        stock: Stock,
        foresight: JourneyOutlook,
        days: Sequence[MarketDay],
        prices: _Prices,
        closes_h: Floats,
    ) -> None:
        heaps, lines = stock.heaps, stock.lines
        self._closes_h = closes_h
        self._days, self._prices, self._heaps = days, prices, heaps
        look = foresight.looking_at(SaleTimes.at_markets(days))
        prospects = look(journeys(stock))
        # As the plan and the day sheet say it.
        self._expected = prospects.expected()[:, 0]
        draws = np.random.default_rng(_SEED)
        self._rate_z = draws.standard_normal((len(lines.crop_keys), _TRUTHS))
        self._age_z = draws.standard_normal((len(lines.ids), _TRUTHS))
        self._chance_z = draws.standard_normal((len(heaps), _TRUTHS))
        self._ripens_z = draws.standard_normal((len(lines.crop_keys), _TRUTHS))
        self._life_z = draws.standard_normal((len(lines.crop_keys), _TRUTHS))
        self._ready_z = draws.standard_normal((len(lines.crop_keys), _TRUTHS))
        self._opening = draws.random((len(lines.crop_keys), _TRUTHS))
        numbers = np.array([heap.number for heap in heaps], dtype=np.intp)
        shares = [
            self._at(prospects, day, lines.crop[numbers], numbers) for day in range(len(days))
        ]
        self._saleable, self._lost = (np.stack(own) for own in zip(*shares, strict=True))

    def _at(
        self, prospects: Prospects, day: int, crop: Indices, batch: Indices
    ) -> tuple[Floats, Floats]:
        every = np.arange(batch.size)
        own = prospects.at(every, np.full(batch.size, day, dtype=np.intp))
        return own.under(
            self._rate_z[crop],
            self._age_z[batch],
            self._ripens_z[crop],
            self._life_z[crop],
            self._opening[crop],
            self._ready_z[crop],
        )

    def ready(self, some: Sequence[int]) -> LikelyFruit:
        """How many of some heaps' fruit will feel ready on the market day, the chance in so many
        fruit counted too."""
        if not some:
            return _NONE
        fruit = np.array([self._heaps[n].fruit for n in some], dtype=float)
        return LikelyFruit(
            *ready_over_truths(
                fruit,
                self._expected[list(some)],
                self._saleable[0][list(some)],
                self._chance_z[list(some)],
            )
        )

    def past(self, heap: int) -> bool:
        """Whether a heap is past when the market day begins, as it is told everywhere else: some
        of its fruit may be good yet, but nobody opens what is to be cleared away."""
        closes_h = float(self._closes_h[self._heaps[heap].number])
        return closes_h <= to_hours(self._days[0].starts_at)

    def share(self, heap: int) -> float:
        """Expected ready share of a heap on the market day."""
        return float(self._expected[heap])

    def kept(self, heap: int) -> tuple[float, str | None]:
        """What a fruit that is ready on the market day is worth if it stays, by what is best for
        it later (minor units), and the market day that the heap is for if it stays."""
        own = self._heaps[heap]
        line = own.planned
        planned = line.market_day_id if line is not None else None
        ready = max(self.share(heap), 1e-6)
        best, sold_for, best_day = 0.0, 0.0, None
        for n, day in enumerate(self._days[1:], start=1):
            price = self._prices.of(own.crop, day, day.id == planned)
            spoils = float((self._lost[n][heap] - self._lost[0][heap]).mean())
            best = max(best, price * float(np.clip(1.0 - spoils / ready, 0.0, 1.0)))
            sells = float(self._saleable[n][heap].mean())
            if sells >= LEAST_SHARE and sells * price > sold_for:
                sold_for, best_day = sells * price, day.id
        if planned is not None and planned != self._days[0].id:
            best_day = planned
        return best, best_day

    def gain(self, heap: int) -> float:
        """What each fruit of a heap is worth to be opened now, over leaving it (minor units)."""
        price = self._prices.of(self._heaps[heap].crop, self._days[0], True)
        return self.share(heap) * (price - self.kept(heap)[0])

    def has_nowhere_else(self, heap: int) -> bool:
        """Whether ready fruit of a heap is better sold as too much today than kept."""
        price = self._prices.of(self._heaps[heap].crop, self._days[0], True)
        return self.kept(heap)[0] < MORE_PRICE * price


def _of_crop(crop: str, wanted: int, stock: Stock, looked: _Looked) -> PackingOfCrop:
    own = [n for n, heap in enumerate(stock.heaps) if heap.crop == crop]
    day_id = stock.day.id

    def planned_here(n: int) -> bool:
        line = stock.heaps[n].planned
        return line is not None and line.market_day_id == day_id

    def line_of(n: int) -> PackLine:
        heap = stock.heaps[n]
        at = stock.lines.stays.at(np.full((len(stock.lines.ids), 1), stock.now_h))[heap.number, 0]
        place = stock.lines.place_ids[stock.lines.stays.place[heap.number, at]]
        later = looked.kept(n)[1]
        steps = heap.planned.steps if heap.planned is not None and planned_here(n) else ()
        to = steps[-1].place_id if steps and steps[-1].place_id != place else None
        return PackLine(heap.batch_id, place, heap.crates, heap.fruit, looked.ready([n]), later, to)

    take = sorted(filter(planned_here, own), key=lambda n: -looked.share(n))
    others = sorted((n for n in own if n not in take), key=lambda n: -looked.gain(n))
    good = [n for n in others if looked.share(n) >= _LEAST_SHARE and not looked.past(n)]
    worth = [n for n in good if looked.gain(n) > 0.0]
    more = round(MORE_SHARE * wanted)
    spare = sum(looked.ready([n]).mid for n in (*take, *worth) if looked.has_nowhere_else(n))
    # Buyers take some more at a lower price, which pays for what the plan brings beyond what is
    # wanted, and for fruit that has no better day ahead.
    beyond = max(round(spare), round(looked.ready(take).high) - wanted, 0)
    bring = wanted + min(more, beyond)
    packed = stock.packed(crop)
    if packed and packed >= bring:
        take, others, worth = [], [*take, *others], []
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
        ready=looked.ready(take),
        take=tuple(map(line_of, take)),
        open_next=tuple(map(line_of, open_next)),
        leave=tuple(map(line_of, leave)),
    )

"""What crates come to if they are opened at packing, and what if they stay: over sampled truths."""

from collections.abc import Sequence
from datetime import datetime

import numpy as np

from ripenroom.planning.caution import WAITING
from ripenroom.planning.choices import LEAST_SHARE
from ripenroom.planning.problem import MORE_PRICE
from ripenroom.planning.prospects import Prospects
from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.science.supply import ready_over_truths
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.after_last_market import LATER_PRICE
from ripenroom.season.plans.demand import usual_prices
from ripenroom.season.plans.journey_outlook import JourneyOutlook, SaleTimes
from ripenroom.season.plans.plan import LikelyFruit, Plan, PlannedItinerary
from ripenroom.season.plans.stock import Stock, journeys

_TRUTHS, _SEED = 200, 7

NO_FRUIT = LikelyFruit(0.0, 0.0, 0.0)


class Prices:
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

    def later(self, crop: str) -> float:
        """What a fruit counts that is kept for a market day that is not entered yet."""
        return LATER_PRICE * float(usual_prices(self._book, [crop])[0])

    @staticmethod
    def for_second_grade(line: PlannedItinerary) -> float:
        """What the plan expects of each fruit of such a line that is ripe."""
        return line.expected_value_minor / max(line.fruit * line.expected_ready_share, 1.0)


class HeapsAtPacking:
    """Every heap on the market day and on later ones, over sampled truths."""

    def __init__(
        self,
        stock: Stock,
        foresight: JourneyOutlook,
        days: Sequence[MarketDay],
        prices: Prices,
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
            return NO_FRUIT
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
        """What a fruit that is ready on the market day is worth if it stays (minor units), and the
        market day that the heap is for if it stays: by the plan, or by what is best for it later
        where the plan brings it here or says nothing of it."""
        own, line = self._heaps[heap], self._heaps[heap].planned
        planned_for = None if line is None else line.market_day_id
        if line is not None and line.second_grade:
            return self._prices.for_second_grade(line), None
        if line is not None and planned_for is None:
            return self._prices.later(own.crop) if line.kept else 0.0, None
        best, sold_for, best_day = 0.0, 0.0, None
        for n, day in enumerate(self._days[1:], start=1):
            price = self._prices.of(own.crop, day, day.id == planned_for)
            best = max(best, price * self._lasts(heap, n))
            sells = float(self._saleable[n][heap].mean())
            if sells >= LEAST_SHARE and sells * price > sold_for:
                sold_for, best_day = sells * price, day.id
        return best, best_day if planned_for in (None, self._days[0].id) else planned_for

    def _lasts(self, heap: int, day: int) -> float:
        """Which part of a heap's fruit that is ready on the market day is not past on a later."""
        spoils = float((self._lost[day][heap] - self._lost[0][heap]).mean())
        return float(np.clip(1.0 - spoils / max(self.share(heap), 1e-6), 0.0, 1.0))

    def gain(self, heap: int) -> float:
        """What each fruit of a heap is worth to be opened now, over leaving it (minor units)."""
        price = self._prices.of(self._heaps[heap].crop, self._days[0], True)
        return self.share(heap) * (price - self.kept(heap)[0])

    def order(self, heap: int) -> tuple[bool, float]:
        """What is opened first if the plan's own crates do not suffice: what it has no market day
        for, by what is gained; then what it keeps for one, by what each fruit would bring there."""
        line = self._heaps[heap].planned
        if line is None or (line.market_day_id is None and not line.kept):
            return False, -self.gain(heap)
        return True, self.kept(heap)[0]

    def has_nowhere_else(self, heap: int) -> bool:
        """Whether ready fruit of a heap is better sold as too much today than kept."""
        price = self._prices.of(self._heaps[heap].crop, self._days[0], True)
        return self.kept(heap)[0] < MORE_PRICE * price

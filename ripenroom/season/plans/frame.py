"""The planner's problem but for its itineraries: crates, wants, room and what things cost."""

import numpy as np

from ripenroom.planning.bounded import LeftOut
from ripenroom.planning.caution import cautious
from ripenroom.planning.problem import Itineraries, Problem
from ripenroom.planning.prospects import Prospects
from ripenroom.planning.relaxation import crate_worth, with_handling
from ripenroom.records.book import Book
from ripenroom.science.softening import Floats
from ripenroom.season.amounts_sold import sizes_of
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.demand import Demand, later_prices
from ripenroom.season.plans.later import LATER_PRICE
from ripenroom.season.plans.on_hand import OnHand
from ripenroom.season.plans.places import capacity
from ripenroom.season.state import SeasonState


class Frame:
    """Makes problems of itineraries. ``unit`` is what a usual crate is worth: all itineraries tell
    that are put in first, not the few of them that pay."""

    def __init__(
        self, state: SeasonState, book: Book, hand: OnHand, demand: Demand, evening_h: Floats
    ) -> None:
        lines, left = hand.lines, hand.left
        usual = np.array([state.crops[key].fruit_per_crate.value for key in lines.crop_keys])
        self._crates = np.ceil(left / usual[lines.crop] - 1e-9).astype(np.intp)
        self._fruit_per_crate = left / self._crates
        self._size = sizes_of(book, state.crops, lines.ids)
        holds, limit = capacity(book, lines.place_ids), book.season.crates_moved_per_evening
        if limit is not None:
            holds = np.append(holds, limit)
        self._room = np.repeat(holds[:, None], evening_h.size, axis=1)
        self._later_price = LATER_PRICE * later_prices(book, demand, lines.crop_keys)[lines.crop]
        self._wants = demand.wants
        self._crop_of_want = np.unique(demand.crop, return_inverse=True)[1]
        self._now_h = to_hours(state.now)
        self._crate_move = _crate_move(book)
        self.unit: float | None = None

    def with_ways(
        self, ways: Itineraries, prospects: Prospects | None = None, out: LeftOut | None = None
    ) -> Problem:
        """The problem with such itineraries, what is expected of them, and what was left out."""
        problem = Problem(
            crates=self._crates,
            fruit_per_crate=self._fruit_per_crate,
            wants=self._wants,
            ways=ways,
            room=self._room,
            later_price=self._later_price,
            now_h=self._now_h,
            left_out=out,
            crate_move=self._crate_move,
            size=self._size,
        )
        if self.unit is None:
            self.unit = crate_worth(problem)
        with_costs = with_handling(problem, self.unit)
        return cautious(with_costs, prospects, self._crop_of_want, self.unit)


def _crate_move(book: Book) -> float | None:
    """What carrying a crate costs (minor units); None where nothing has a price to hold it to."""
    priced = any(want.price_minor is not None for want in book.wants.values())
    cost = book.season.crate_move_minor
    return float(cost) if cost is not None and (priced or book.second_grades) else None

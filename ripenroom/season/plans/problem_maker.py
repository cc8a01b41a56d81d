"""What the planner is given besides itineraries: fruit on hand, places, wants, and costs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.caution import cautious
from ripenroom.planning.problem import Itineraries, Problem
from ripenroom.planning.prospects import Prospects
from ripenroom.planning.relaxation import crate_worth, with_handling
from ripenroom.planning.search_limits import LeftOutItineraries
from ripenroom.records.book import Book
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.amounts import LEAST_FRUIT, sizes_of
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.moments import CLOCK_SLACK, to_hours
from ripenroom.season.plans.after_last_market import LATER_PRICE
from ripenroom.season.plans.demand import Demand, later_prices
from ripenroom.season.projector import Projector
from ripenroom.season.room_clocks import schedules
from ripenroom.season.state import SeasonState


@dataclass(frozen=True, slots=True)
class OnHand:
    """Batches as ``lines``, by code, how many fruit are ``left`` of each, and when it is past if it
    stays as is written down (h; inf: never)."""

    lines: BatchColumns
    left: Floats
    closes_h: Floats


def on_hand(
    state: SeasonState, projector: Projector, book: Book, expected: Mapping[str, str], end_h: float
) -> OnHand:
    """What there is of a ``book`` with batches that stand for ``expected`` picks; what will be
    picked after ``end_h`` (h), the last market day ahead, is no matter for a plan."""
    outlook = projector.outlook(book, state.now)
    soon_h = to_hours(state.now + CLOCK_SLACK)
    lines = outlook.lines
    ahead = np.array([key in expected for key in lines.ids], dtype=bool)
    picked_h = lines.batches.picked_h
    left = np.where(ahead, lines.picked, lines.left_at(np.array([soon_h]))[:, 0])
    in_time = np.where(ahead, picked_h < end_h, picked_h <= soon_h)
    here = np.flatnonzero((left >= LEAST_FRUIT) & in_time)
    # By code, so that neither ids nor the order of records in a file make another plan; picks that
    # are expected have none, and come by what they are.
    here = np.array(
        sorted(here.tolist(), key=lambda n: _in_order(book, lines.ids[n])), dtype=np.intp
    )
    return OnHand(
        _doubted(lines.of(here), ahead[here], projector), left[here], outlook.past_h[here]
    )


def _in_order(book: Book, batch_id: str) -> tuple[object, ...]:
    batch = book.batches[batch_id]
    cultivar = book.cultivars.get(batch.cultivar_id or "")
    name = cultivar.name if cultivar is not None else ""
    felt = batch.feel_counts or ()
    return (batch.code, batch.picked_at, batch.crop, name, batch.count or 0, felt)


def _doubted(lines: BatchColumns, expected: np.ndarray, projector: Projector) -> BatchColumns:
    """The lines with as much doubt about fruit that nobody has in hand yet as about its kind's."""
    usual = np.array([projector.constants[kind].maturity_sd for kind in lines.kinds])
    if not expected.any():
        return lines
    doubt = np.maximum(lines.batches.doubt_sd, np.where(expected, usual[lines.kind], 0.0))
    return replace(lines, batches=replace(lines.batches, doubt_sd=doubt))


def destinations(book: Book, place_ids: Sequence[str]) -> Indices:
    """Places that fruit can be moved to."""
    some = [n for n, key in enumerate(place_ids) if book.places[key].is_destination]
    return np.array(some, dtype=np.intp)


def place_c(book: Book, place_ids: Sequence[str], zone: ZoneInfo, at_h: float) -> Floats:
    """Set point (C) of each place at a time."""
    plans = schedules(book, zone)
    return np.array([plans[key].set_point_at(at_h) for key in place_ids], dtype=float)


def capacity(book: Book, place_ids: Sequence[str]) -> Floats:
    """Crates that each place holds; inf where space is no limit."""
    capacities = (book.places[key].capacity_crates for key in place_ids)
    return np.array([np.inf if holds is None else holds for holds in capacities], dtype=float)


class Frame:
    """Makes problems of itineraries. ``unit`` is what a usual crate is worth: all itineraries tell
    that are put in first, not the few of them that pay."""

    def __init__(
        self, state: SeasonState, book: Book, hand: OnHand, demand: Demand, evening_h: Floats
    ) -> None:
        lines, left = hand.lines, hand.left
        per_crate = np.array([state.crops[key].fruit_per_crate.value for key in lines.crop_keys])
        self._full = per_crate[lines.crop]
        self._crates = np.ceil(left / self._full - 1e-9).astype(np.intp)
        self._fruit_per_crate = left / self._crates
        self._picked_h = lines.batches.picked_h
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
        self,
        ways: Itineraries,
        prospects: Prospects | None = None,
        out: LeftOutItineraries | None = None,
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
            here_h=self._picked_h,
            left_out=out,
            crate_move=self._crate_move,
            size=self._size,
        )
        if self.unit is None:
            self.unit = crate_worth(replace(problem, fruit_per_crate=self._full))
        with_costs = with_handling(problem, self.unit)
        return cautious(with_costs, prospects, self._crop_of_want, self.unit)


def _crate_move(book: Book) -> float | None:
    """What carrying a crate costs (minor units); None where nothing has a price to hold it to."""
    priced = any(want.price_minor is not None for want in book.wants.values())
    cost = book.season.crate_move_minor
    return float(cost) if cost is not None and (priced or book.second_grades) else None

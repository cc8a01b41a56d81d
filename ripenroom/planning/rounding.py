"""Whole crates from cut ones: rounded by largest remainder, made to fit, then bettered one by one.

The same plan is made from the same numbers always: every choice among equals falls to the first.
"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from ripenroom.planning.column_generation import Stop
from ripenroom.planning.problem import MORE_PRICE, NO_WANT, Problem, sells_for
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

_MOST_ROUNDS = 6
NOTHING = 1e-9
"""A gain below this part of a crate's worth is rounding of numbers."""


class DraftPlan:
    """A plan in the making: crates on each itinerary, and what they take up and bring.

    It begins with the crates that are decided already.
    """

    def __init__(self, problem: Problem, gains: Floats) -> None:
        self.problem = problem
        self.crates = np.zeros(problem.ways.size, dtype=np.intp)
        self.unplaced = problem.crates.astype(np.intp)
        self._fruit = problem.fruit
        self._alone = gains + problem.own_gain
        self._free = problem.room.copy()
        self._new = np.zeros(problem.room.shape)
        self._want = problem.ways.want
        self._fruit_wanted = np.append(problem.wants.fruit, 0.0)
        self._more = np.append(problem.wants.more, 0.0)
        self._price = np.append(problem.wants.price, 0.0)
        self.saleable = np.zeros(self._price.size)
        # Single numbers are read from lists ten times as fast as from arrays.
        self._batch_of: list[int] = problem.ways.batch.tolist()
        self._want_of: list[int] = problem.ways.want.tolist()
        self._fruit_of: list[float] = self._fruit.tolist()
        self._alone_of: list[float] = self._alone.tolist()
        wants = self._fruit_wanted, self._more, self._price
        self._of_wants: list[tuple[float, float, float]] = list(
            zip(*(column.tolist() for column in wants), strict=True)
        )
        tight = problem.tight
        ways = problem.ways
        counts = tight[ways.stay_place] & (ways.stay_until > ways.stay_from)
        self._first = np.concatenate([[0], np.cumsum(counts.sum(axis=1))])
        self._places = ways.stay_place[counts]
        self._begins, self._ends = ways.stay_from[counts], ways.stay_until[counts]
        self._brought = ways.stay_new[counts]
        self._known: dict[int, list[tuple[Floats, Floats, bool]]] = {}
        for way in np.flatnonzero(problem.fixed).tolist():
            self.put(way, int(problem.fixed[way]))

    def put(self, way: int, crates: int = 1) -> None:
        """Send crates along an itinerary; take them off it with a negative number."""
        self._sell(way, crates)
        self._stand(way, crates)

    def _sell(self, way: int, crates: int) -> None:
        want = self._want_of[way]
        if want != NO_WANT:
            self.saleable[want] += crates * self._fruit_of[way]

    def _stand(self, way: int, crates: int) -> None:
        self.crates[way] += crates
        self.unplaced[self._batch_of[way]] -= crates
        for room, brought, new in self._stays(way):
            room -= crates
            if new:
                brought += crates

    def _stays(self, way: int) -> list[tuple[Floats, Floats, bool]]:
        """The room that an itinerary takes up, what is new there, and whether it is new itself.

        Made when it is first asked for: of very many itineraries few are looked at.
        """
        known = self._known.get(way)
        if known is None:
            known = [
                (self._free[place, then], self._new[place, then], new)
                for place, then, new in self._cells(slice(self._first[way], self._first[way + 1]))
            ]
            self._known[way] = known
        return known

    def _cells(self, stays: slice) -> Iterator[tuple[int, slice, bool]]:
        columns = (self._places, self._begins, self._ends, self._brought)
        for place, begin, end, new in zip(*(c[stays].tolist() for c in columns), strict=True):
            yield place, slice(begin, end), new

    def fits(self, way: int) -> bool:
        """Whether there is room for one more crate on an itinerary, all the way.

        A crate that waits where it is may always do so, unless something new has come there.
        """
        return all(
            room.min() >= 1.0 or not (new or brought[room < 1.0].any())
            for room, brought, new in self._stays(way)
        )

    def put_all(self, way: int, most: int) -> None:
        """Send so many crates along an itinerary, or as many as there are and fit."""
        left = min(most, int(self.unplaced[self._batch_of[way]]))
        while left > 0 and self.fits(way):
            some = int(min(left, max(self._sure(way), 1.0)))
            self.put(way, some)
            left -= some

    def _sure(self, way: int) -> float:
        """So many more crates are sure to fit on an itinerary on which one does, even if all its
        stays were at one time in one place."""
        stays = self._stays(way)
        return min(
            (room.min() // len(stays) for room, brought, new in stays if new or brought.any()),
            default=np.inf,
        )

    def too_many(self, way: int) -> bool:
        """Whether an itinerary passes through a place that is too full for what is new there."""
        return any(bool(brought[room < 0.0].any()) for room, brought, _ in self._stays(way))

    def intrudes(self, way: int) -> bool:
        """Whether an itinerary comes, new, to a place in which even less would be too much."""
        return any(
            new and bool(((room < 0.0) & (brought > 0.0) & (-room >= brought)).any())
            for room, brought, new in self._stays(way)
        )

    def gain(self, ways: Indices) -> Floats:
        """What one more crate on each of some itineraries would add."""
        want = self._want[ways]
        now, wanted, more = self.saleable[want], self._fruit_wanted[want], self._more[want]
        worth = self._price[want] * (
            sells_for(now + self._fruit[ways], wanted, more) - sells_for(now, wanted, more)
        )
        return np.asarray(worth + self._alone[ways])

    def gain_of(self, way: int) -> float:
        """:meth:`gain` of a single itinerary: in plain numbers ten times as fast."""
        want = self._want_of[way]
        wanted, more, price = self._of_wants[want]
        now = float(self.saleable[want])
        after = now + self._fruit_of[way]
        fuller = min(after, wanted) - min(now, wanted)
        beyond = min(max(after - wanted, 0.0), more) - min(max(now - wanted, 0.0), more)
        return price * (fuller + MORE_PRICE * beyond) + self._alone_of[way]

    def send_another_way(self, own: Indices, way: int, nothing: float) -> bool:
        """Move one crate of an itinerary to a better one of its ``own`` batch, if there is one that
        gains more than ``nothing``, or take it off where it loses."""
        self._sell(way, -1)
        here = self.gain_of(way)
        gain = self.gain(own)
        least = max(here, 0.0) + nothing
        better_ones = bool((gain > least).any())
        if not better_ones and here >= 0.0:
            self._sell(way, 1)
            return False
        self._stand(way, -1)
        if better_ones and self.place_one(own, gain, least):
            return True
        if here < 0.0:
            return True
        self.put(way)
        return False

    def place_one(self, own: Indices, gain: Floats, least: float) -> bool:
        """Send a crate along that of some itineraries that gains most and fits, and more than
        ``least``."""
        some = np.flatnonzero(gain > least)
        for choice in some[np.argsort(-gain[some], kind="stable")].tolist():
            if self.fits(int(own[choice])):
                self.put(int(own[choice]))
                return True
        return False


def rounded(problem: Problem, cut: Floats, gains: Floats, unit: float, stop: Stop) -> Indices:
    """Whole crates on each itinerary, near the ``cut`` ones; feasible even if ``stop`` says so.

    ``unit`` is a crate's worth.
    """
    stowage = DraftPlan(problem, gains)
    whole = _by_largest_remainder(problem, cut)
    for way in np.flatnonzero(problem.ways.free & (whole > 0)).tolist():
        stowage.put(way, int(whole[way]))
    _make_fit(stowage)
    better(stowage, unit, stop)
    return stowage.crates


def _by_largest_remainder(problem: Problem, cut: Floats) -> Indices:
    whole = np.floor(cut + 1e-6)
    part = np.maximum(cut - whole, 0.0)
    batch, batches = problem.ways.batch, problem.crates.size
    missing = np.round(np.bincount(batch, part, minlength=batches)).astype(np.intp)
    left = problem.crates - np.bincount(batch, whole, minlength=batches).astype(np.intp)
    missing = np.minimum(missing, left)
    order = np.lexsort((-part, batch))
    first = np.searchsorted(batch[order], np.arange(batches))
    rank = np.arange(order.size) - first[batch[order]]
    whole[order[(rank < missing[batch[order]]) & (part[order] > 0.0)]] += 1.0
    return whole.astype(np.intp)


def _make_fit(stowage: DraftPlan) -> None:
    """Take crates off, those with the least saleable fruit first, until every place is in order.

    First go those that come to places which are too full without any of them.
    """
    ways = stowage.problem.ways
    used = np.flatnonzero(ways.free & (stowage.crates > 0))
    used = used[np.argsort(ways.share[used], kind="stable")]
    for wrong in (stowage.intrudes, stowage.too_many):
        for way in used.tolist():
            while stowage.crates[way] and wrong(way):
                stowage.put(way, -1)


def better(stowage: DraftPlan, unit: float, stop: Stop, some: np.ndarray | None = None) -> None:
    """Send crate after crate another way as long as that gains, of all batches or of ``some``."""
    own_ways = free_by_batch(stowage.problem)
    batches = range(len(own_ways)) if some is None else np.flatnonzero(some).tolist()
    for _ in range(_MOST_ROUNDS):
        changed = False
        for batch in batches:
            if stop():
                return
            own = own_ways[batch]
            nothing = NOTHING * unit
            while stowage.unplaced[batch] and stowage.place_one(own, stowage.gain(own), nothing):
                changed = True
            for way in own[stowage.crates[own] > 0].tolist():
                while stowage.crates[way] and stowage.send_another_way(own, way, nothing):
                    changed = True
        if not changed:
            return


def free_by_batch(problem: Problem) -> list[Indices]:
    """The itineraries of each batch that the plan decides on."""
    ways = problem.ways
    order = np.argsort(ways.batch, kind="stable")
    order = order[ways.free[order]]
    edges = np.searchsorted(ways.batch[order], np.arange(problem.crates.size + 1))
    return [order[begin:end] for begin, end in pairwise(edges.tolist())]

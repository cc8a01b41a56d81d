"""Solves the plan with cut crates by column generation, in counted steps.

The programme begins with few itineraries of each batch. By what its limits are worth then, all
others are looked at: those that would gain are taken up and it goes on from where it was, until
none would. Of 50,000 itineraries it sees some 15,000. Whenever it is ended, prices of its limits
bound what any plan can be worth: what the limits cost, and of each batch its best itinerary at
these prices.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ripenroom.planning.problem import Problem
from ripenroom.planning.programme import LinearProgramme
from ripenroom.planning.simplex import Simplex
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

MOST_STEPS = 60_000
"""Simplex steps of a programme. A thousand batches and a hundred market days take 15,000."""

_AT_A_TIME = 3
"""Itineraries of a batch that are taken up at a time: those that gain most."""

_PAYS = 1e-7
"""A gain below this part of a crate's worth is rounding: as HiGHS has it."""

_ROUND = 4_000
"""Steps between two looks at whether the work was called off."""

Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Answer:
    """What cut crates do on all ``unknowns`` of a programme, and gain so: that is their ``reach``.
    Nothing can gain more than the ``bound``. All is in units of a crate's worth.

    ``prices`` tell what a little more of each limit would gain, those of ``most`` first;
    ``reduced`` what a little more of each unknown would gain beyond what it takes up. It is the
    ``best`` unless the count ran out. ``taken_up`` are the itineraries that were looked at.
    """

    unknowns: Floats
    prices: Floats
    reduced: Floats
    reach: float
    bound: float
    best: bool
    taken_up: Indices


def answer_of(
    problem: Problem,
    model: LinearProgramme,
    unit: float,
    steps: int = MOST_STEPS,
    stop: Stop | None = None,
    first: Indices | None = None,
) -> Answer | None:
    """The best answer found in so many steps; None where not even a feasible one was.

    ``unit`` is a crate's worth, ``first`` are itineraries to begin with.
    """
    from scipy.sparse import csc_array, vstack

    if steps <= 0 or (stop is not None and stop()):
        return None
    ways, size = problem.ways, problem.ways.size
    table = csc_array(vstack([model.most, model.even]))
    turned = table.T.tocsr()
    none = np.zeros(model.even.shape[0])
    high = np.concatenate([model.limit, none])
    low = np.concatenate([np.full(model.limit.size, -np.inf), none])
    gain, highest = model.gain / unit, model.highest.copy()
    # The crates of a batch limit its itineraries already: else they had two prices.
    open_to = ways.free & (highest[:size] > 0.0)
    highest[:size][open_to] = np.inf
    known = ~open_to | ways.left | ways.kept
    if first is not None:
        known[first] = True
    known[_best_of_each(_alone(problem, model) / unit, ways.batch, ~known)] = True
    barred = ways.free & ~open_to
    begin = np.concatenate([np.flatnonzero(known & ~barred), np.arange(size, gain.size)])
    simplex = Simplex(table, low, high, gain, model.lowest, highest, begin)
    bounds = _Bounds(problem, model, unit)
    best, bound, found = False, np.inf, None
    while True:
        before = simplex.steps
        done = simplex.run(min(_ROUND, steps - before))
        prices = simplex.prices()
        prices[: model.limit.size] = np.maximum(prices[: model.limit.size], 0.0)
        reduced = gain - turned @ prices
        bound = min(bound, bounds.at(prices, reduced))
        if done or simplex.feasible:
            found = simplex.unknowns(), prices, reduced
        if done:
            pays = open_to & ~known & (reduced[:size] > _PAYS)
            new = _best_of_each(reduced[:size], ways.batch, pays)
            best = not new.size
            simplex.take_up(new)
            known[new] = True
        stuck = not done and simplex.steps == before
        if best or stuck or simplex.steps >= steps or (stop is not None and stop()):
            break
    if found is None:
        return None
    return Answer(*found, float(gain @ found[0]), bound, best, np.flatnonzero(known & open_to))


def _alone(problem: Problem, model: LinearProgramme) -> Floats:
    """What a crate on each itinerary gains if its fruit fetches the full price."""
    price = np.append(problem.wants.price, 0.0)
    return np.asarray(
        model.gain[: problem.ways.size] + problem.fruit * price[problem.ways.want], dtype=float
    )


def _best_of_each(score: Floats, batch: Indices, some: np.ndarray) -> Indices:
    """Of ``some`` itineraries the few of each batch with the highest score."""
    own = np.flatnonzero(some)
    order = own[np.lexsort((-score[own], batch[own]))]
    rank = np.arange(order.size) - np.searchsorted(batch[order], batch[order])
    return np.sort(order[rank < _AT_A_TIME])


def _least_cost(problem: Problem) -> float:
    """What a new move of a crate costs at least, as plans are chosen (in the prices' unit)."""
    ways = problem.ways
    moved = np.flatnonzero(ways.moves > 0)
    if not moved.size:
        return 0.0
    each = (ways.handling[moved] / ways.moves[moved]).min()
    return float(each + (problem.hurdle if problem.cautious else 0.0))


class _Bounds:
    """What no plan of a problem can gain more than, by whatever prices of its limits; also of those
    who would use what was left out for its number."""

    def __init__(self, problem: Problem, model: LinearProgramme, unit: float) -> None:
        self._model = model
        self._batches, self._wants = problem.crates.size, problem.wants.fruit.size
        self._undecided, self._fixed = problem.undecided, problem.fixed
        free = np.flatnonzero(problem.ways.free)
        self._by_batch = free[np.argsort(problem.ways.batch[free], kind="stable")]
        batch = problem.ways.batch[self._by_batch]
        self._first = np.flatnonzero(np.diff(batch, prepend=-1))
        self._batch = batch[self._first]
        # No place holds more than all crates, whatever room it has.
        highest = model.highest[problem.ways.size :]
        self._highest = np.where(np.isfinite(highest), highest, max(1, problem.crates.sum()))
        self._out = problem.left_out
        if self._out is not None:
            fruit = self._out.share * problem.per_crate(self._out.batch, self._out.want)
            self._out_fruit = fruit
            costs = fruit * problem.less_for_waiting(self._out.batch, self._out.want)
            self._out_gain = -(costs + self._out.moves * _least_cost(problem)) / unit

    def at(self, prices: Floats, reduced: Floats) -> float:
        """The bound at these prices, at which itineraries and the rest still gain so much."""
        most = np.zeros(self._batches)
        if self._by_batch.size:
            gain = np.maximum.reduceat(reduced[self._by_batch], self._first)
            most[self._batch] = np.maximum(gain, 0.0)
        if self._out is not None:
            # As if they took up no room.
            of_crate, of_fruit = np.split(prices[: self._batches + self._wants], [self._batches])
            gain = self._out_gain + self._out_fruit * of_fruit[self._out.want]
            np.maximum.at(most, self._out.batch, gain - of_crate[self._out.batch])
        size = self._fixed.size
        rest, lowest = reduced[size:], self._model.lowest[size:]
        bound = prices[: self._model.limit.size] @ self._model.limit
        bound += most @ self._undecided + reduced[:size] @ self._fixed
        return float(bound + np.maximum(rest * self._highest, rest * lowest).sum())

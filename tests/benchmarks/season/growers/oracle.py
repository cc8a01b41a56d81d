"""An oracle that knows every fruit: no journey through these places sells more at its best.

A fruit softens the more the warmer it is, so two journeys bound all others: the warmest, which is
in each hour where the pulp gets warmest, and the coldest. A fruit can be at its best at a market if
it is ready by then on the warmest and not past on the coldest: in between, one that leaves the
cold at some moment is just ready. Who eats later takes it so much earlier. Rooms are without end
and crates may move at any hour, so this is a bound and no plan; which fruit goes to which market is
the largest flow from fruit to buyers.
"""

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import maximum_flow

from tests.benchmarks.season.truth.fruit import Flags, Floats, Fruit, Numbers
from tests.benchmarks.season.truth.year import Year

_PICKED_H, _SOLD_H = 14.0, 7.0
_STEP_H = 1.0


def chances(year: Year) -> Flags:
    """Whether each fruit can be at its best at each market, (fruit, markets)."""
    number = year.fruit.stage.size
    warmest, coldest = year.fruit.of(np.arange(number)), year.fruit.of(np.arange(number))
    picked_h = np.zeros(number)
    for pick in year.picks:
        picked_h[pick.fruit] = 24.0 * pick.day + _PICKED_H
    can = np.zeros((number, len(year.markets)), dtype=bool)
    hour = 0.0
    for market, day in enumerate(year.markets):
        sold_h = 24.0 * day.day + _SOLD_H
        while hour < sold_h:
            step = min(_STEP_H, sold_h - hour)
            some = np.flatnonzero(picked_h <= hour)
            _stand(year, warmest, some, hour, step, warm=True)
            _stand(year, coldest, some, hour, step, warm=False)
            hour += step
        ready = warmest.ready_within(day.eat_within_days, year.nature)
        can[:, market] = (picked_h < sold_h) & ready & ~coldest.past
    return can


def _stand(year: Year, fruit: Fruit, some: Numbers, hour: float, step: float, warm: bool) -> None:
    """Let fruit stand for a step where its pulp gets warmest, or coldest."""
    air = np.array([room.air_c(hour + step / 2.0) for room in year.rooms])
    half_cooling_h = np.array([room.half_cooling_h for room in year.rooms])
    kept: Floats = 0.5 ** (step / half_cooling_h)
    pulp = fruit.pulp_c[some, None] * kept + air * (1.0 - kept)
    room = pulp.argmax(axis=1) if warm else pulp.argmin(axis=1)
    fruit.soften(some, air[room], half_cooling_h[room], step, year.nature)


def most_sold(year: Year) -> int:
    """Fruit that the oracle sells at its best."""
    return largest_flow(chances(year), [min(m.buyers, m.most) for m in year.markets])


def largest_flow(can: Flags, most: list[int]) -> int:
    """How many fruit can be given to markets, each to one that it ``can`` go to, (fruit, markets),
    and to none more than its ``most``."""
    return int((given(can, most) >= 0).sum())


def given(can: Flags, most: list[int]) -> Numbers:
    """The market that each fruit goes to in the largest flow, -1 for those that go to none."""
    kinds, of_kind, fruit = np.unique(can, axis=0, return_inverse=True, return_counts=True)
    kind, market = np.nonzero(kinds)
    kind_count, market_count = kinds.shape
    source, sink = 0, 1 + kind_count + market_count
    edges = [
        (np.zeros(kind_count, int), 1 + np.arange(kind_count), fruit),
        (1 + kind, 1 + kind_count + market, fruit[kind]),
        (1 + kind_count + np.arange(market_count), np.full(market_count, sink), np.array(most)),
    ]
    start, end, room = (np.concatenate(column) for column in zip(*edges, strict=True))
    graph = coo_array((room.astype(np.int32), (start, end)), shape=(sink + 1, sink + 1))
    flow = maximum_flow(graph.tocsr(), source, sink).flow
    goes = flow[1 : 1 + kind_count, 1 + kind_count : sink].toarray()
    found = np.full(can.shape[0], -1)
    for number in range(kind_count):
        markets = np.repeat(np.arange(market_count), np.maximum(goes[number], 0))
        found[np.flatnonzero(of_kind.ravel() == number)[: markets.size]] = markets
    return found

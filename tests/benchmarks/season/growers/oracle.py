"""An oracle that knows every fruit: what could be sold if nothing had to be guessed.

Each fruit is followed on every journey that begins in the cold and goes on in the ripening room
from one evening on. That says at which markets it can be at its best. Each market, in turn, then
takes the fruit whose chances end soonest: as such fruit can be had from one market until another,
no choice sells more, if rooms were without end. So this is a bound and no plan.
"""

import numpy as np

from tests.benchmarks.season.truth.fruit import Flags, Numbers
from tests.benchmarks.season.truth.year import COLD, WARM, Year

_PICKED_H, _MOVED_H, _SOLD_H = 14.0, 18.0, 7.0
_STEP_H = 1.0


def chances(year: Year) -> Flags:
    """Whether each fruit can be at its best at each market, (fruit, markets)."""
    number = year.fruit.stage.size
    found = np.zeros((number, len(year.markets)), dtype=bool)
    for evening in range(year.days):
        some = [pick.fruit for pick in year.picks if pick.day <= evening]
        if some:
            here = np.concatenate(some)
            found[here] |= _pulled(year, here, evening)
    return found


def _pulled(year: Year, here: Numbers, evening: int) -> Flags:
    """The same for fruit that comes into the warm on one evening."""
    fruit, nature = year.fruit.of(here), year.nature
    picked_h = np.zeros(here.size)
    for pick in year.picks:
        picked_h[np.isin(here, pick.fruit)] = 24.0 * pick.day + _PICKED_H
    pulled_h = 24.0 * evening + _MOVED_H
    best = np.zeros((here.size, len(year.markets)), dtype=bool)
    half_cooling_h = np.array([room.half_cooling_h for room in year.rooms])
    ahead = [(24.0 * m.day + _SOLD_H, n) for n, m in enumerate(year.markets) if m.day > evening]
    hour = float(picked_h.min())
    while ahead:
        step = min(_STEP_H, ahead[0][0] - hour)
        if step > 0.0:
            some = np.flatnonzero(picked_h <= hour)
            room = COLD if hour < pulled_h else WARM
            air = np.full(some.size, year.rooms[room].air_c(hour + step / 2.0))
            fruit.soften(some, air, half_cooling_h[np.full(some.size, room)], step, nature)
            hour += step
        if hour >= ahead[0][0]:
            _, market = ahead.pop(0)
            best[:, market] = fruit.best_within(year.markets[market].eat_within_days, nature)
            if fruit.past.all():
                break
    return best


def most_sold(year: Year) -> int:
    """Fruit that the oracle sells at its best."""
    can = chances(year)
    last = np.where(can.any(axis=1), can.shape[1] - 1 - np.argmax(can[:, ::-1], axis=1), -1)
    free = np.ones(can.shape[0], dtype=bool)
    for number, market in enumerate(year.markets):
        waiting = np.flatnonzero(free & can[:, number])
        most = min(market.buyers, market.most)
        free[waiting[np.argsort(last[waiting], kind="stable")[:most]]] = False
    return int((~free).sum())

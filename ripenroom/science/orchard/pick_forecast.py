"""How many fruit will be there to pick, row by row and day by day.

Every point of a row's belief has its own fruit left, cut into nodes; how many of them have passed a
mark by a day is one look-up in their running sum. Mean and variance over the points, with the
chance that is in counting fruit, give ranges as those of a gamma distribution.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from ripenroom.science.orchard.cohort import LOG_FRUIT, LOG_PACE, LOG_SPREAD, NEEDS, WEIGHT, Z
from ripenroom.science.orchard.row_fit import RowsBelief
from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.science.spread import TAIL_80

_DROPS: Final = ((-np.sqrt(3.0), 1.0 / 6.0), (0.0, 2.0 / 3.0), (np.sqrt(3.0), 1.0 / 6.0))
"""Fruit that drops early, at its middle and late, with their shares: a Normal to fifth order."""

UNEVEN: Final = 0.1
"""How far a row's numbers are off besides, as its fruit are no exact Normal (an estimate)."""

_FEWEST = 1e-9
_STILL = 0.05
"""A clock that goes slower than so many tree days a day stands still."""

Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Numbers:
    """Fruit in numbers, of any shape: 80 % range and mean."""

    low: Floats
    mean: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class RowsForecast:
    """Each (rows, days), if nobody picks from the first day on: of the ``hanging`` fruit ``ready``
    ones give and are not yet too soft. What has fallen is loss, never supply."""

    hanging: Numbers
    ready: Numbers


def forecast(belief: RowsBelief, tree_days: Floats, clock_sd: FloatsLike = 0.0) -> RowsForecast:
    """From the belief, for days (rows, days) on each row's clock, in order; the first is today.

    ``clock_sd`` (rows, days) is how far off the clock is by then, in tree days, as nobody knows the
    weather that comes.
    """
    left = FruitLeft(belief)
    gave = left.gave_by(tree_days)

    ready, dropped = np.zeros_like(gave), np.zeros_like(gave)
    soft_by = left.gave_by(tree_days, left.too_soft)
    for drop, part in left.drops():
        gone_by = left.gave_by(tree_days, drop)
        ready += part * (gave - np.maximum(soft_by, gone_by))
        dropped += part * gone_by
    return RowsForecast(
        left.numbers(left.all - dropped, tree_days, clock_sd),
        left.numbers(ready, tree_days, clock_sd),
    )


def lost_by(belief: RowsBelief, tree_days: Floats, clock_sd: FloatsLike = 0.0) -> Numbers:
    """Fruit that gets too soft on the tree, or drops, from the first day to each (rows, days) if
    nobody picks; ``clock_sd`` as for :func:`forecast`."""
    left = FruitLeft(belief)
    passed = left.mean_over_drops(lambda drop: left.gave_by(tree_days, left.first_of(drop)))
    return left.numbers(passed - passed[..., :1], tree_days, clock_sd)


def expected_picks(
    belief: RowsBelief, tree_days: Floats, picked_on: Flags | None = None
) -> Numbers:
    """How many fruit are found to take on each day (rows, days), in order.

    Of each row a day is one of those on which it is ``picked_on`` (rows, days), all of them if not
    said, and then all that gives and is not too soft is taken; on other days, what would be found.
    """
    left = FruitLeft(belief)
    return left.numbers(_found(left, tree_days, picked_on))


def picked_by(
    belief: RowsBelief, tree_days: Floats, picked_on: Flags, clock_sd: FloatsLike = 0.0
) -> Numbers:
    """All that is picked of each row from the first day to each (rows, days), that day's pick among
    it; ``picked_on`` as for :func:`expected_picks`, ``clock_sd`` as for :func:`forecast`.

    A row's days are not off by themselves: what is not picked on one of them is there on the next.
    """
    mean, variance, shift = _so_far(FruitLeft(belief), tree_days, picked_on, clock_sd)
    return _range(mean, variance + np.square(shift))


def all_picked_by(
    belief: RowsBelief, tree_days: Floats, picked_on: Flags, clock_sd: FloatsLike = 0.0
) -> Numbers:
    """:func:`picked_by` summed over all rows, (days,): rows of one cultivar are off together as far
    as it is the cultivar that is unknown, and all of them by the weather."""
    mean, variance, shift = _so_far(FruitLeft(belief), tree_days, picked_on, clock_sd)
    sd = np.sqrt(variance)
    together = np.zeros((int(belief.rows.cultivar.max(initial=0)) + 1, mean.shape[1]))
    shared = np.sqrt(belief.of_cultivar)[:, None] * sd
    np.add.at(together, belief.rows.cultivar, shared)
    own = np.square(sd) - np.square(shared)
    every = own.sum(axis=0) + np.square(together).sum(axis=0) + np.square(shift.sum(axis=0))
    return _range(mean.sum(axis=0), every)


def frost_finds(
    belief: RowsBelief, tree_days: Floats, picked_on: Flags, first_frost: Floats
) -> Numbers:
    """Fruit that the first frost finds on the trees of each row, (rows,).

    It comes on each day (rows, days) with the chance ``first_frost`` (days,); until then the row is
    picked over on the days ``picked_on`` (rows, days). What is left at the end is spared.
    """
    left = FruitLeft(belief)
    gave = left.gave_by(tree_days)
    taken = _taken_before(gave, picked_on)
    fallen = left.mean_over_drops(lambda drop: np.maximum(left.gave_by(tree_days, drop), taken))
    mean, variance = left.moments(left.all - fallen)
    square = variance + np.square(mean)
    reached = mean @ first_frost
    spread = np.maximum(square @ first_frost - np.square(reached), 0.0)
    return _range(reached, spread)


def _so_far(
    left: "FruitLeft", tree_days: Floats, picked_on: Flags, clock_sd: FloatsLike
) -> tuple[Floats, Floats, Floats]:
    """Mean and variance of what is picked of each row until each day, (rows, days), and how far the
    clock moves it."""
    found = _found(left, tree_days, picked_on) * picked_on
    mean, variance = left.moments(np.cumsum(found, axis=-1))
    if not np.any(clock_sd):
        return mean, variance, np.zeros_like(mean)
    # What began to give by the last pick is picked by it, but for what was lost before.
    gave = np.einsum("pr,prn->rn", left.weight, left.gave_by(tree_days))
    shift = _slope(gave, tree_days) * np.asarray(clock_sd, dtype=float)
    last = np.maximum.accumulate(np.where(picked_on, np.arange(mean.shape[1]), -1), axis=1)
    shift = np.take_along_axis(shift, np.maximum(last, 0), axis=1)
    return mean, variance, np.where(last < 0, 0.0, shift)


def _slope(mean: Floats, tree_days: Floats) -> Floats:
    """By how much numbers (rows, n) rise with a tree day; none where the clock stands still."""
    if mean.shape[1] < 2:
        return np.zeros_like(mean)
    by_day = np.gradient(tree_days, axis=1)
    slope = np.gradient(mean, axis=1) / np.maximum(by_day, _STILL)
    return np.where(by_day > _STILL, slope, 0.0)


def _found(left: "FruitLeft", tree_days: Floats, picked_on: Flags | None) -> Floats:
    gave = left.gave_by(tree_days)
    taken = _taken_before(gave, picked_on)

    def found(drop: Floats) -> Floats:
        gone = left.gave_by(tree_days, left.first_of(drop))
        return np.maximum(gave - np.maximum(taken, gone), 0.0)

    return left.mean_over_drops(found)


def _taken_before(gave: Floats, picked_on: Flags | None) -> Floats:
    """How many had begun to give on the last day of picking before each day."""
    earlier = np.concatenate([np.zeros_like(gave[..., :1]), gave[..., :-1]], axis=-1)
    if picked_on is None:
        return earlier
    day_before = np.concatenate([np.zeros_like(picked_on[:, :1]), picked_on[:, :-1]], axis=1)
    # What gave by a day never falls, so the last pick is where it is greatest.
    return np.asarray(np.maximum.accumulate(np.where(day_before, earlier, 0.0), axis=-1))


class FruitLeft:
    """Fruit that nobody took, of each point and row: (points, rows, ...).

    Numbers are of all its fruit by nodes, also of what has dropped already; marks are in tree days
    after a fruit first gives, at the row's own pace.
    """

    def __init__(self, belief: RowsBelief) -> None:
        at, marks = belief.points, belief.marks
        self.weight = belief.weight
        self._middle = belief.rows.bloomed + at[..., NEEDS]
        self._spread = np.exp(at[..., LOG_SPREAD])
        self._slower = np.exp(-at[..., LOG_PACE])
        self.too_soft = self._slower * marks.starts[:, -1]
        self._drop, self._drop_sd = self._slower * marks.drop, marks.drop_sd
        nodes = np.exp(at[..., LOG_FRUIT])[..., None] * WEIGHT * belief.kept
        # Fruit below the edges between nodes, (points, rows, nodes + 1).
        sums = np.concatenate([np.zeros_like(nodes[..., :1]), np.cumsum(nodes, axis=-1)], axis=-1)
        self._sums = np.ascontiguousarray(sums)
        self.all = sums[..., -1:]

    def gave_by(self, tree_days: Floats, ago: Floats | float = 0.0) -> Floats:
        """Fruit that had begun to give ``ago`` (points, rows) tree days before these (rows, n)."""
        step = Z[1] - Z[0]
        from_first = (self._middle + ago)[..., None] + self._spread[..., None] * (Z[0] - 0.5 * step)
        place = (tree_days - from_first) / (step * self._spread[..., None])
        np.clip(place, 0.0, Z.size - 1e-9, out=place)
        cell = place.astype(np.intp)
        place -= cell
        edges = self._sums.shape[-1]
        cell += (np.arange(self._middle.size) * edges).reshape(self._middle.shape)[..., None]
        flat = self._sums.ravel()
        below = flat[cell]
        cell += 1
        return np.asarray(below + place * (flat[cell] - below))

    def drops(self) -> list[tuple[Floats, float]]:
        """When fruit drops that does so early, in the middle and late; and their shares."""
        return [
            (np.maximum(self._drop + z * self._drop_sd, 0.0), float(part)) for z, part in _DROPS
        ]

    def first_of(self, drop: Floats) -> Floats:
        """When fruit is lost: too soft, or dropped before."""
        return np.minimum(drop, self.too_soft)

    def mean_over_drops(self, of_drop: Callable[[Floats], Floats]) -> Floats:
        """Mean of something over fruit that drops early and late."""
        return np.asarray(sum(part * of_drop(drop) for drop, part in self.drops()))

    def moments(self, fruit: Floats) -> tuple[Floats, Floats]:
        """Mean and variance of numbers (points, rows, n), with chance, over the points."""
        mean = np.einsum("pr,prn->rn", self.weight, fruit)
        square = np.einsum("pr,prn,prn->rn", self.weight, fruit, fruit)
        spread = np.maximum(square - np.square(mean), 0.0)
        # Of a row's fruit each is there or not, as if by a coin of its own.
        chance = mean - np.einsum("pr,prn->rn", self.weight / self.all[..., 0], np.square(fruit))
        return mean, spread + np.maximum(chance, 0.0) + np.square(UNEVEN * mean)

    def numbers(
        self, fruit: Floats, tree_days: Floats | None = None, clock_sd: FloatsLike = 0.0
    ) -> Numbers:
        """Ranges of numbers (points, rows, n); where they are those of ``tree_days`` (rows, n),
        with what a clock that is off by ``clock_sd`` (rows, n) makes of them."""
        mean, variance = self.moments(fruit)
        if tree_days is not None and np.any(clock_sd):
            variance = variance + np.square(
                _slope(mean, tree_days) * np.asarray(clock_sd, dtype=float)
            )
        return _range(mean, variance)


def _range(mean: Floats, variance: Floats) -> Numbers:
    """80 % range of a gamma distribution (Wilson & Hilferty 1931, Proc. Natl. Acad. Sci. USA
    17:684-688; from memory)."""
    shape = np.square(mean) / np.maximum(variance, _FEWEST)
    flat = 1.0 / (9.0 * np.maximum(shape, _FEWEST))

    def at(z: float) -> Floats:
        return np.asarray(mean * np.maximum(1.0 - flat + z * np.sqrt(flat), 0.0) ** 3)

    low, high = at(-TAIL_80), at(TAIL_80)
    return Numbers(low, mean, np.where(mean > _FEWEST, np.maximum(high, mean), 0.0))

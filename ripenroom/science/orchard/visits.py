"""Which row is worth a walk today, how often, and which feel is worth picking.

A visit saves the fruit that would get too soft on the tree, or drop, before the next one; picked
too hard it would never ripen. Both are counted in fruit.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr

from ripenroom.science.orchard.cohort import LOG_PACE, LOG_SPREAD, NEEDS, WEIGHT, Z
from ripenroom.science.orchard.pick_forecast import FruitLeft, Numbers, lost_by
from ripenroom.science.orchard.row_fit import RowsBelief
from ripenroom.science.orchard.tree_clock import shares_by_feel
from ripenroom.science.softening import Floats

_INTERVALS: Final = np.arange(0.5, 14.5, 0.5)
"""Days between walks that are compared."""


@dataclass(frozen=True, slots=True)
class WalkGain:
    """Of each row: fruit ``lost`` (rows, days) from today to that day if nobody comes before, and
    every how many tree days a walk is worth its time, ``every_days`` (rows,), inf where none is."""

    lost: Numbers
    every_days: Floats


def walk_gain(belief: RowsBelief, tree_days: Floats, walk_costs_fruit: Floats) -> WalkGain:
    """What walking each row today saves, against coming first on each of the later days.

    ``tree_days`` (rows, days), today first; ``walk_costs_fruit`` (rows,) is what a walk of the row
    costs, in fruit. Fruit turns at an even rate over these days; what turns right after a walk is
    lost if the next one comes later than it keeps on the tree.
    """
    left = FruitLeft(belief)
    ends = left.gave_by(np.ascontiguousarray(tree_days[:, [0, -1]]))
    span = np.maximum(tree_days[:, -1] - tree_days[:, 0], 1e-9)
    a_day = np.maximum(ends[..., 1] - ends[..., 0], 0.0) / span
    late = left.mean_over_drops(
        lambda drop: np.maximum(_INTERVALS - left.first_of(drop)[..., None], 0.0)
    )
    weight = belief.weight[..., None]
    losing = (weight * a_day[..., None] * late).sum(axis=0)
    cost = (walk_costs_fruit[:, None] + losing) / _INTERVALS
    best = cost.argmin(axis=1)
    worth = cost[np.arange(best.size), best] < (belief.weight * a_day).sum(axis=0)
    return WalkGain(lost_by(belief, tree_days), np.where(worth, _INTERVALS[best], np.inf))


@dataclass(frozen=True, slots=True)
class PickByFeel:
    """Of each row and feel, (rows, feels): the share of fruit that comes good if picked ``now``, if
    picked ``later``, and the share ``lost`` by waiting until then, too soft or dropped."""

    now: Floats
    later: Floats
    lost: Floats


def pick_by_feel(
    belief: RowsBelief, today: Floats, wait_days: Floats, ripens: Floats
) -> PickByFeel:
    """What picking each feel now is worth, against waiting for so many tree days.

    ``today`` and ``wait_days`` (rows,) are in tree days; ``ripens`` (rows, feels) is the share of
    fruit picked with each feel that ripens off the tree, as
    :func:`ripenroom.science.able.fruit_that_ripens` has it, and what is too soft counts for
    nothing.
    """
    at, marks = belief.points, belief.marks
    slower = np.exp(-at[..., LOG_PACE])
    spread = np.exp(at[..., LOG_SPREAD])[..., None]
    give = (belief.rows.bloomed + at[..., NEEDS])[..., None] + spread * Z
    since = today[:, None] - give
    starts = (slower[..., None] * marks.starts)[..., None, :]
    drop = (slower * marks.drop)[..., None]

    def hung(since_give: Floats) -> Floats:
        return np.asarray(ndtr((drop - since_give) / marks.drop_sd[:, None]))

    hand = marks.feel_sd[:, None]
    feels_now = shares_by_feel(since, starts, hand)
    feels_later = shares_by_feel(since + wait_days[:, None], starts, hand)
    hangs = hung(since)
    stays = hung(since + wait_days[:, None]) / np.maximum(hangs, 1e-12)
    on_tree = belief.weight[..., None] * WEIGHT * belief.kept * hangs
    amount = np.einsum("prn,prnf->rf", on_tree, feels_now)
    good = ripens.copy()
    good[:, -1] = 0.0
    worth_later = stays * np.einsum("prnf,rf->prn", feels_later, good)
    lost_later = 1.0 - stays * (1.0 - feels_later[..., -1])

    def of_feel(value: Floats) -> Floats:
        total = np.einsum("prn,prnf->rf", on_tree * value, feels_now)
        return np.asarray(total / np.maximum(amount, 1e-12))

    return PickByFeel(good, of_feel(worth_later), of_feel(lost_later))

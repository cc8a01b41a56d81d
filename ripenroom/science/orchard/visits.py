"""Which row is worth a walk today, how often, and which feel is worth picking.

A visit saves the fruit that would get too soft on the tree, or drop, before the next one; picked
too hard it would never ripen. Both are counted in fruit.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from ripenroom.science.compiled import ndtr
from ripenroom.science.orchard.cohort import LOG_FRUIT, LOG_PACE, LOG_SPREAD, NEEDS, WEIGHT, Z
from ripenroom.science.orchard.pick_forecast import FruitLeft
from ripenroom.science.orchard.row_fit import RowsBelief
from ripenroom.science.orchard.tree_clock import shares_by_feel
from ripenroom.science.softening import Floats

_INTERVALS: Final = np.arange(0.5, 7.5, 0.5)
"""Days between walks that are compared. None is longer than a week: fruit that could be sold hangs
in wind and in the way of animals (common practice, no source)."""


def walk_every(belief: RowsBelief, tree_days: Floats, walk_costs_fruit: Floats) -> Floats:
    """Every how many tree days a walk of each row is worth its time, (rows,); inf where none is.

    ``walk_costs_fruit`` (rows,) is what a walk of the row costs, in fruit. Fruit turns at an even
    rate over ``tree_days`` (rows, days), today first; what turns right after a walk is lost if the
    next one comes later than it keeps on the tree (:func:`.pick_forecast.lost_by` says how much
    that is by each day if nobody comes). Of the intervals the one that costs least is chosen, in
    fruit lost and time spent.
    """
    left = FruitLeft(belief)
    ends = left.gave_by(np.ascontiguousarray(tree_days[:, [0, -1]]))
    span = np.maximum(tree_days[:, -1] - tree_days[:, 0], 1e-9)
    a_day = np.maximum(ends[..., 1] - ends[..., 0], 0.0) / span
    late = left.mean_over_drops(
        lambda drop: np.maximum(_INTERVALS - left.first_of(drop)[..., None], 0.0)
    )
    losing = (belief.weight[..., None] * a_day[..., None] * late).sum(axis=0)
    cost = (walk_costs_fruit[:, None] + losing) / _INTERVALS
    best = cost.argmin(axis=1)
    worth = cost[np.arange(best.size), best] < (belief.weight * a_day).sum(axis=0)
    return np.where(worth, _INTERVALS[best], np.inf)


_FEWEST = 1e-3


@dataclass(frozen=True, slots=True)
class PickByFeel:
    """Of each row and feel, (rows, feels): how many ``fruit`` hang that are felt so, the share of
    them that comes good if picked ``now``, if picked ``later``, and the share ``lost`` by waiting
    until then, too soft or dropped. Shares are nan where next to nothing hangs."""

    fruit: Floats
    now: Floats
    later: Floats
    lost: Floats


def pick_by_feel(
    belief: RowsBelief, today: Floats, wait_days: Floats, ripens: Floats
) -> PickByFeel:
    """What picking each feel now is worth, against waiting for so many tree days.

    ``today`` and ``wait_days`` (rows,) are in tree days; ``ripens`` (rows, feels) is the share of
    fruit that is really so which ripens off the tree, as
    :func:`ripenroom.science.able_to_ripen.fruit_that_ripens` has it; what is too soft counts for
    nothing.
    The hand errs: some fruit that is felt to give is still hard.
    """
    at, marks = belief.points, belief.marks
    slower = np.exp(-at[..., LOG_PACE])
    spread = np.exp(at[..., LOG_SPREAD])[..., None]
    since = today[:, None] - (belief.rows.bloomed + at[..., NEEDS])[..., None] - spread * Z
    then = since + wait_days[:, None]
    starts = (slower[..., None] * marks.starts)[..., None, :]
    drop = (slower * marks.drop)[..., None]

    def hung(since_give: Floats) -> Floats:
        return np.asarray(ndtr((drop - since_give) / marks.drop_sd[:, None]))

    # Each node stands for all fruit up to half-way to the next ones.
    node = spread * (Z[1] - Z[0]) / np.sqrt(12.0)
    felt = shares_by_feel(since, starts, np.hypot(marks.feel_sd[:, None], node))
    good = ripens.copy()
    good[:, -1] = 0.0
    hangs = hung(since)
    stays = hung(then) / np.maximum(hangs, 1e-12)
    really_then = shares_by_feel(then, starts, node)
    worth_now = np.einsum("prnf,rf->prn", shares_by_feel(since, starts, node), good)
    worth_later = stays * np.einsum("prnf,rf->prn", really_then, good)
    lost = 1.0 - stays * (1.0 - really_then[..., -1])
    fruit = np.exp(at[..., LOG_FRUIT])[..., None]
    on_tree = belief.weight[..., None] * fruit * WEIGHT * belief.kept * hangs
    amount = np.einsum("prn,prnf->rf", on_tree, felt)

    def of_feel(value: Floats) -> Floats:
        total = np.einsum("prn,prnf->rf", on_tree * value, felt)
        return np.where(amount > _FEWEST, total / np.maximum(amount, _FEWEST), np.nan)

    return PickByFeel(amount, of_feel(worth_now), of_feel(worth_later), of_feel(lost))

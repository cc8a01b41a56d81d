"""Which row is worth a walk today, how often, and which feel is worth picking.

A visit saves the fruit that would get too soft on the tree, or drop, before the next one; picked too
hard it would never ripen. Both are counted in fruit.
"""

from dataclasses import dataclass

from ripenroom.science.orchard.pick_forecast import Numbers
from ripenroom.science.orchard.row_fit import RowsBelief
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class WalkGain:
    """Of each row: fruit ``lost`` (rows, days) by that day if nobody comes before, of all that is
    ready today or gets so; and every how many days a walk is worth its time, ``every_days``
    (rows,), inf where none is worth it."""

    lost: Numbers
    every_days: Floats


def walk_gain(belief: RowsBelief, tree_days: Floats, walk_costs_fruit: Floats) -> WalkGain:
    """What walking each row today saves, against coming first on each of the later days.

    ``tree_days`` (rows, days), today first; ``walk_costs_fruit`` (rows,) is what a walk of the row
    costs, in fruit.
    """
    raise NotImplementedError


@dataclass(frozen=True, slots=True)
class PickByFeel:
    """Of each row and feel, (rows, feels): the share of fruit that comes good if picked ``now``, if
    picked a day ``later``, and the share ``lost`` by waiting that day, too soft or dropped."""

    now: Floats
    later: Floats
    lost: Floats


def pick_by_feel(belief: RowsBelief, day_ahead: Floats, ripens: Floats) -> PickByFeel:
    """What picking each feel now is worth, against waiting for so many tree days (rows,).

    ``ripens`` (rows, feels) is the share of fruit picked with each feel that ripens off the tree,
    as :func:`ripenroom.science.able.fruit_that_ripens` has it.
    """
    raise NotImplementedError

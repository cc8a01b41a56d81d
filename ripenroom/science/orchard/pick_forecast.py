"""How many fruit will be there to pick, row by row and day by day."""

from dataclasses import dataclass

from ripenroom.science.orchard.row_fit import RowsBelief
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class Numbers:
    """Fruit in numbers, of any shape: 80 % range and mean."""

    low: Floats
    mean: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class RowsForecast:
    """Each (rows, days), if nobody picks from the first day on.

    ``ready`` fruit give and are not yet too soft; ``too_soft`` hang but are; ``hard`` do not give
    yet; ``dropped`` have fallen since the first day: loss, never supply. ``turning`` fruit begin to
    give that day.
    """

    ready: Numbers
    too_soft: Numbers
    hard: Numbers
    dropped: Numbers
    turning: Numbers


def forecast(belief: RowsBelief, tree_days: Floats) -> RowsForecast:
    """From the belief, for days (rows, days) on each row's clock, in order; the first is today."""
    raise NotImplementedError


def expected_picks(belief: RowsBelief, tree_days: Floats) -> Numbers:
    """How many fruit each of these picks (rows, picks) would find to take, if every one of them
    takes all that gives and is not too soft; picks in order of time."""
    raise NotImplementedError


def total_picks(belief: RowsBelief, tree_days: Floats) -> Numbers:
    """:func:`expected_picks` summed over all rows (picks,), whose cultivars are off together."""
    raise NotImplementedError

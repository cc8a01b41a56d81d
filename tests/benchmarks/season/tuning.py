"""The best habits of a rule, found on seasons that are not those it is judged on."""

from collections.abc import Sequence
from functools import cache, partial
from itertools import product

from tests.benchmarks.season.growers.rules import (
    COLD_FIRST,
    NO_COLD,
    ByHabit,
    Habits,
    Ready,
)
from tests.benchmarks.season.play import play
from tests.benchmarks.season.truth.year import drawn_year

OTHER_SEEDS = tuple(range(90_001, 90_005))
"""Seeds of the seasons that rules are tuned on."""

HABITS = tuple(
    Habits(*habits)
    for habits in product(
        (3, 5, 8, 11, 14),
        (1.0, 2.0, 3.0, 4.5),
        Ready,
        (COLD_FIRST, NO_COLD),
    )
)
"""What is tried."""


@cache
def tuned(days: int, seeds: Sequence[int] = OTHER_SEEDS) -> Habits:
    """The habits of first in first out that sell most at its best, in seasons of so many days."""
    years = [drawn_year(seed, days) for seed in seeds]

    def sold(habits: Habits) -> int:
        return sum(play(year, partial(ByHabit, habits=habits)).at_best for year in years)

    return max(HABITS, key=sold)

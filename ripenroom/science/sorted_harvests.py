"""What picking over left and took, as harvests to be learned of: how each begins.

A batch that was picked over is a harvest of its own from then on, and so is what was taken. Where
it begins follows from what was believed of the fruit it came of, at that time, and from the counts
(:mod:`.picked_over`). As what is told of its age leans on the rate, its age is reckoned from
somewhat before: there it does not.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.science.able_to_ripen import with_odds_times
from ripenroom.science.ages import Bands
from ripenroom.science.learning.model import FarmModel, HarvestUnknowns
from ripenroom.science.picked_over import Believed, PickingOver
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class Sorting:
    """How one harvest came of another: both by their numbers, the ``picking`` that parted them, and
    whether its fruit was ``taken``.

    Fruit of it ages ``rate_per_day``. By all but this picking the log of the odds that fruit can
    ripen is ``log_odds_without`` above the book's, and by all together ``log_odds``.
    """

    harvest: int
    source: int
    picking: PickingOver
    taken: bool
    rate_per_day: float
    log_odds_without: float
    log_odds: float


@dataclass(frozen=True, slots=True)
class SortedHarvests:
    """All ``harvests`` as they began; the reference ``days`` and ``slope_days`` since the pick at
    which that is; the share of each that ``ripens`` where no more of its kind can than the book
    says, all (harvests,); and all that is ``believed`` of those that came of picking over, None of
    the others."""

    harvests: HarvestUnknowns
    days: Floats
    slope_days: Floats
    ripens: Floats
    believed: tuple[Believed | None, ...]


def sorted_harvests(
    farm: FarmModel,
    days: Floats,
    slope_days: Floats,
    ripens: Floats,
    bands: Bands,
    sortings: Sequence[Sorting],
    after: Callable[[Believed, PickingOver, bool], Believed],
) -> SortedHarvests:
    """The harvests of a farm, whose checks are not asked, with those that came of ``sortings``.

    A harvest's source comes before it. ``days`` and ``slope_days`` (harvests,) are those from the
    pick to each picking over, 0 of harvests as they were picked; ``ripens`` and ``bands`` are of
    all harvests as they were picked. ``after`` is :func:`~ripenroom.science.picked_over.after`, or
    what knows its answers.
    """
    harvests = farm.harvests
    age, age_sd, fruit_sd = (
        column.copy() for column in (harvests.age, harvests.age_sd, harvests.fruit_sd)
    )
    days, slope_days, ripens = days.copy(), slope_days.copy(), ripens.copy()
    found: list[Believed | None] = [None] * age.size
    log_rate, log_sd = farm.prior()[0][farm.cultivar_rate], farm.prior_sd()[farm.cultivar_rate]
    for sorting in sortings:
        n, source = sorting.harvest, sorting.source
        whose, earlier = harvests.cultivar[n], found[source]
        since = days[n] - days[source]
        gain = float(sorting.rate_per_day * np.exp(log_rate[whose]) * since)
        before = Believed(
            mean=float(age[source]) + gain,
            doubt_sd=float(age_sd[source]),
            fruit_sd=float(fruit_sd[source]),
            ripens=float(with_odds_times(ripens[source], np.exp(sorting.log_odds_without))),
            bands=bands.of(np.array([source])) if earlier is None else earlier.bands,
            rate_sd=gain * float(log_sd[whose]),
        )
        one = found[n] = after(before, sorting.picking, sorting.taken)
        age[n], age_sd[n] = one.mean - one.lean * gain, one.doubt_sd
        fruit_sd[n] = one.fruit_sd
        # Of what stayed firm the odds go up as much as those of all.
        ripens[n] = with_odds_times(np.array(one.ripens), np.exp(-sorting.log_odds))
        days[n] -= one.lean * since
        slope_days[n] -= one.lean * (slope_days[n] - slope_days[source])
    return SortedHarvests(
        replace(harvests, age=age, age_sd=age_sd, fruit_sd=fruit_sd),
        days,
        slope_days,
        ripens,
        tuple(found),
    )

"""What picking over left and took, as harvests of their own to be learned of.

Each begins with what the crop's figures and the counts of that picking say of its age, at that
time; what was found before is in the counts, mostly. Later checks of it say more.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.records.check import Check
from ripenroom.science.batches import Batches
from ripenroom.science.learning.farm import Farm, Harvests
from ripenroom.science.picked_over import Believed, PickingOver, after
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.learning.populations import Population, Populations, Way, fit_from_age


@dataclass(frozen=True, slots=True)
class Begins:
    """When each harvest begins that came of picking over (h; nan: with its pick), the reference
    days gained until then, and what an sd of activation energy adds to the log of these."""

    at_h: Floats
    days: Floats
    slope: Floats


def with_picked_over(
    farm: Farm,
    begins: Begins,
    populations: Populations,
    number: Mapping[Population, int],
    crops: Sequence[CropConstants],
    batches: Batches,
) -> tuple[Harvests, Floats, tuple[Believed | None, ...]]:
    """The harvests of a farm with those that picking over left or took as they began; of each the
    share that can ripen, and all that is believed of those.

    ``number`` has them in order, ``crops`` and ``batches`` one for each. A farm has no checks yet.
    """
    found: list[Believed | None] = [None] * len(number)
    harvests, ripens = farm.harvests, batches.ripens.copy()
    came = [own for own in number if own.way is not Way.PICKED]
    if not came:
        return harvests, ripens, tuple(found)
    age, age_sd = harvests.age.copy(), harvests.age_sd.copy()
    fruit_sd = harvests.fruit_sd.copy()
    mean, precision = farm.prior()
    variance = np.diag(np.linalg.inv(precision))
    log_rate, log_sd = mean[farm.lam], np.sqrt(variance[farm.lam])
    for own in came:
        n, check = number[own], populations.pickings[own.root]
        before = populations.before(check)
        source = number.get(before, n)
        # Where a picking is of fruit that no check speaks of, its batch is as the book has it.
        from_days = begins.days[source] if before.way is not Way.PICKED else 0.0
        which = harvests.cultivar[n]
        gain = crops[n].rate_per_day * np.exp(log_rate[which]) * (begins.days[n] - from_days)
        by_rate = gain * np.hypot(log_sd[which], begins.slope[n])
        bands = found[source].bands if found[source] is not None else None  # type: ignore[union-attr]
        found[n] = after(
            Believed(
                mean=float(age[source] + gain),
                doubt_sd=float(np.hypot(age_sd[source], by_rate)),
                fruit_sd=float(fruit_sd[source]),
                ripens=float(ripens[source]),
                bands=bands or batches.ages.of(np.array([source])),
            ),
            picking_over(check, crops[n]),
            own.way is Way.TAKEN,
        )
        age[n], age_sd[n] = found[n].mean, found[n].doubt_sd  # type: ignore[union-attr]
        fruit_sd[n], ripens[n] = found[n].fruit_sd, found[n].ripens  # type: ignore[union-attr]
    return (
        replace(harvests, age=age, age_sd=age_sd, fruit_sd=fruit_sd),
        ripens,
        tuple(found),
    )


def picking_over(check: Check, crop: CropConstants) -> PickingOver:
    """A check that picked a batch over, in ages of its crop."""
    fit_from, judgement_sd = fit_from_age(crop, check.eat_within_days or 0.0)
    counts = check.sorted_counts
    return PickingOver(
        fruit=float(check.picked_from or 0),
        firm=counts.firm,
        taken=counts.taken,
        soft=counts.soft,
        gone=counts.gone,
        fit_from=fit_from,
        fit_to=crop.too_soft_age,
        judgement_sd=judgement_sd,
    )

"""What picking over left and took, as harvests of their own to be learned of.

Each begins with what the crop's figures and the counts of that picking say of its age, at that
time; what was found before is in the counts, mostly. Later checks of it say more.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from ripenroom.records.check import Check
from ripenroom.science.able import with_odds_times
from ripenroom.science.batches import BatchAges
from ripenroom.science.learning.model import FarmModel, HarvestUnknowns
from ripenroom.science.picked_over import Believed, PickingOver, after
from ripenroom.science.softening import Floats
from ripenroom.season.belief import AbleShift
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.learning.populations import Population, Populations, Way, fit_from_age


@dataclass(frozen=True, slots=True)
class Begins:
    """Where each harvest begins to be reckoned: ``at_h`` (h; nan: with its pick), and the reference
    days and slope days since the pick at which its age does not depend on the rate.

    After a picking over that is somewhat before it.
    """

    at_h: Floats
    days: Floats
    slope_days: Floats


@dataclass(frozen=True, slots=True)
class Known:
    """What followed from pickings over, by all that it followed from: of the question ``before``,
    and of the one that is asked ``now``."""

    before: Mapping[Hashable, Believed] = field(default_factory=dict)
    now: dict[Hashable, Believed] = field(default_factory=dict)


def with_picked_over(
    farm: FarmModel,
    begins: Begins,
    populations: Populations,
    number: Mapping[Population, int],
    crops: Sequence[CropConstants],
    batches: BatchAges,
    able: Sequence[AbleShift],
    known: Known,
) -> tuple[HarvestUnknowns, Begins, Floats, tuple[Believed | None, ...]]:
    """The harvests of a farm with those that picking over left or took as they began, and where
    that is; of each the share that can ripen where no more of its kind can than the book says, and
    all that is believed of those.

    ``begins`` has when pickings over were, ``number`` the harvests in order, ``crops`` and
    ``batches`` one for each, and ``able`` how much more of its fruit is believed to ripen. The farm
    has no checks yet. What is ``known`` from before is not worked out again.
    """
    found: list[Believed | None] = [None] * len(number)
    harvests, ripens = farm.harvests, batches.ripens.copy()
    came = [own for own in number if own.way is not Way.PICKED]
    if not came:
        return harvests, begins, ripens, tuple(found)
    age, age_sd = harvests.age.copy(), harvests.age_sd.copy()
    fruit_sd = harvests.fruit_sd.copy()
    days, slope_days = begins.days.copy(), begins.slope_days.copy()
    log_rate, log_sd = farm.prior()[0][farm.cultivar_rate], farm.prior_sd()[farm.cultivar_rate]
    for own in came:
        n, check = number[own], populations.pickings[own.root]
        source = number[populations.before(check)]
        whose = harvests.cultivar[n]
        since = days[n] - days[source]
        gain = float(crops[n].rate_per_day * np.exp(log_rate[whose]) * since)
        earlier, more = found[source], able[n]
        of_all = float(with_odds_times(ripens[source], np.exp(more.log_odds)))
        before = Believed(
            mean=float(age[source]) + gain,
            doubt_sd=float(age_sd[source]),
            fruit_sd=float(fruit_sd[source]),
            ripens=of_all,
            bands=batches.ages.of(np.array([source])) if earlier is None else earlier.bands,
            rate_sd=gain * float(log_sd[whose]),
        )
        picking = picking_over(check, crops[n], more.log_odds_sd)
        one = found[n] = _after(before, picking, own.way is Way.TAKEN, known)
        age[n], age_sd[n] = one.mean - one.lean * gain, one.doubt_sd
        fruit_sd[n] = one.fruit_sd
        # Of what stayed firm the odds go up as much as those of all.
        ripens[n] = with_odds_times(np.array(one.ripens), np.exp(-more.log_odds))
        days[n] -= one.lean * since
        slope_days[n] -= one.lean * (slope_days[n] - slope_days[source])
    return (
        replace(harvests, age=age, age_sd=age_sd, fruit_sd=fruit_sd),
        Begins(begins.at_h, days, slope_days),
        ripens,
        tuple(found),
    )


def _after(before: Believed, picking: PickingOver, taken: bool, known: Known) -> Believed:
    bands = before.bands
    tables = tuple(table.tobytes() for table in (bands.part, bands.off_sds, bands.sds))
    numbers = before.mean, before.doubt_sd, before.fruit_sd, before.ripens, before.rate_sd
    key = numbers, tables, picking, taken
    known.now[key] = known.before.get(key) or after(before, picking, taken)
    return known.now[key]


def picking_over(check: Check, crop: CropConstants, ripens_sd: float) -> PickingOver:
    """A check that picked a batch over, in ages of its crop; the log of the odds that a fruit can
    ripen is known to ``ripens_sd``."""
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
        ripens_sd=ripens_sd,
    )

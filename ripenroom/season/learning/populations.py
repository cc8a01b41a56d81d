"""Which fruit a batch is at a time: all of a harvest, or what picking over left or took of it.

Whoever squeezes fruit of a batch that was picked over sees what the hand left there. Each picking
over so ends one population and begins two, and a check tells of the one that it was of.

What picking over left and took are harvests of their own to be learned of. Each begins with what
the crop's figures and the counts of that picking say of its age, at that time; what was found
before is in the counts, mostly. Later checks of it say more.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.able import with_odds_times
from ripenroom.science.batches import BatchAges
from ripenroom.science.eaten import KITCHEN_C, days_gained
from ripenroom.science.learning.model import FarmModel, HarvestUnknowns
from ripenroom.science.picked_over import Believed, PickingOver, after
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.kinds import CropKind
from ripenroom.season.learning.priors import of_one_batch
from ripenroom.season.whereabouts import harvest_of

KITCHEN_DOUBT = 0.2
"""What a hand is off by in how much fruit still ripens at its buyers', as a part of that (an
estimate)."""


class Way(StrEnum):
    """How fruit came to be a population."""

    PICKED = "picked"
    LEFT = "left"
    TAKEN = "taken"


_EVER = datetime.min.replace(tzinfo=UTC)


class Population(NamedTuple):
    """The harvest of that id, or what the picking over of that id left or took."""

    root: str
    way: Way


class Populations:
    """The populations of a book, as far as ``checks``, those that count, tell of pickings over."""

    def __init__(self, book: Book, checks: Iterable[Check]) -> None:
        self._batches: Mapping[str, Batch] = book.batches
        self.pickings = {check.id: check for check in checks if check.picks_over}
        self._harvests: dict[str, Population] = {}
        self._of_batch: dict[str, list[Check]] = {}
        for check in sorted(self.pickings.values(), key=lambda check: check.order):
            self._of_batch.setdefault(check.batch_id, []).append(check)

    def harvest(self, batch_id: str) -> Population:
        """The whole harvest that a batch is or was part of."""
        if batch_id not in self._harvests:
            root = harvest_of(batch_id, self._batches)
            self._harvests[batch_id] = Population(root, Way.PICKED)
        return self._harvests[batch_id]

    def of(self, batch_id: str, by: Check | None = None) -> Population:
        """The population that a batch is of now, or was of just before the check ``by``."""
        if not self.pickings:
            return self.harvest(batch_id)
        batch = self._batches[batch_id]
        own = [
            check
            for check in self._of_batch.get(batch_id, ())
            if by is None or check.order < by.order
        ]
        if own and own[-1].id != batch.picked_over:
            return Population(own[-1].id, Way.LEFT)
        if batch.picked_over in self.pickings:
            picking = self.pickings[batch.picked_over or ""]
            if picking.batch_id != batch_id or by is None or picking.order < by.order:
                return Population(picking.id, Way.TAKEN if batch.taken else Way.LEFT)
        return self.harvest(batch_id)

    def began(self, population: Population) -> datetime:
        """When a population came to be; a harvest was there all along."""
        picking = self.pickings.get(population.root)
        return _EVER if picking is None else picking.at

    def before(self, check: Check) -> Population:
        """The population that a check looked at."""
        return self.of(check.batch_id, check)


def fit_from_age(crop: CropConstants, eat_within_days: float) -> tuple[float, float]:
    """The age from which fruit is fit for buyers who eat it within so many days, and the sd in age
    by which a hand that judges it is off for a whole sample."""
    rate = crop.response.relative_rate
    gain = crop.rate_per_day * float(days_gained(rate, np.array(KITCHEN_C), eat_within_days))
    return crop.ready_age - gain, float(np.hypot(crop.judgement_sd, KITCHEN_DOUBT * gain))


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
    and of the one that is asked ``now``, in all its rounds."""

    before: Mapping[Hashable, Believed] = field(default_factory=dict)
    now: dict[Hashable, Believed] = field(default_factory=dict)

    def next(self, again: bool) -> "Known":
        """For the next question, which may be ``again`` that of the same book."""
        if again:
            return Known(self.before, dict(self.now))
        return Known(self.now)

    def get(self, key: Hashable) -> Believed | None:
        """What is known to follow, if anything is."""
        return self.now.get(key) or self.before.get(key)


@dataclass(frozen=True, slots=True)
class AbleSoFar:
    """By how much the log of the odds that a fruit can ripen is above the book's, as believed so
    far: by all checks, ``of_kind``, and ``without`` each picking over, by its id, with the sd of
    what all batches share."""

    of_kind: Mapping[CropKind, float] = field(default_factory=dict)
    without: Mapping[str, tuple[float, float]] = field(default_factory=dict)


def with_picked_over(
    farm: FarmModel,
    begins: Begins,
    populations: Populations,
    number: Mapping[Population, int],
    crops: Sequence[CropConstants],
    batches: BatchAges,
    able: AbleSoFar,
    kind_of: Sequence[CropKind],
    known: Known,
) -> tuple[HarvestUnknowns, Begins, Floats, tuple[Believed | None, ...]]:
    """The harvests of a farm with those that picking over left or took as they began, and where
    that is; of each the share that can ripen where no more of its kind can than the book says, and
    all that is believed of those.

    ``begins`` has when pickings over were, ``number`` the harvests in order, ``crops`` and
    ``batches`` one for each, and ``able`` is what is believed so far of how much can ripen. The
    farm has no checks yet. What is ``known`` from before is not worked out again.
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
        earlier = found[source]
        able_sd = float(farm.crops.able_sd[farm.cultivars.crop[whose]])
        log_odds, shared_sd = able.without.get(check.id, (0.0, able_sd))
        before = Believed(
            mean=float(age[source]) + gain,
            doubt_sd=float(age_sd[source]),
            fruit_sd=float(fruit_sd[source]),
            ripens=float(with_odds_times(ripens[source], np.exp(log_odds))),
            bands=batches.ages.of(np.array([source])) if earlier is None else earlier.bands,
            rate_sd=gain * float(log_sd[whose]),
        )
        picking = picking_over(check, crops[n], of_one_batch(able_sd, shared_sd))
        one = found[n] = _after(before, picking, own.way is Way.TAKEN, known)
        age[n], age_sd[n] = one.mean - one.lean * gain, one.doubt_sd
        fruit_sd[n] = one.fruit_sd
        # Of what stayed firm the odds go up as much as those of all.
        more = able.of_kind.get(kind_of[n], 0.0)
        ripens[n] = with_odds_times(np.array(one.ripens), np.exp(-more))
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
    known.now[key] = known.get(key) or after(before, picking, taken)
    return known.now[key]


def picking_over(check: Check, crop: CropConstants, ripens_sd: float) -> PickingOver:
    """A check that picked a batch over, in ages of its crop; the log of the odds that a fruit can
    ripen is known to ``ripens_sd`` by all else."""
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

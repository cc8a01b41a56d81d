"""Which fruit a batch is at a time: all of a harvest, or what picking over left or took of it.

Whoever squeezes fruit of a batch that was picked over sees what the hand left there. Each picking
over so ends one population and begins two, and a check tells of the one that it was of.

What picking over left and took are harvests of their own to be learned of. Each begins with what
the crop's figures and the counts of that picking say of its age, at that time; what was found
before is in the counts, mostly. Later checks of it say more.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.eaten import KITCHEN_C, days_gained
from ripenroom.science.learning.model import FarmModel
from ripenroom.science.picked_over import Believed, PickingOver, after
from ripenroom.science.sorted_harvests import Sorting
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learning.priors import of_one_batch
from ripenroom.season.whereabouts import harvest_of

KITCHEN_COUNTED, KITCHEN_DOUBT = 0.75, 0.36
"""How much of what fruit still ripens at its buyers' a hand counts on when it sorts, and by how
much of that it is off (an sd): half of all hands go by the days, to a fifth; the others by any part
of them, down to what is ready that day (an estimate). Firm fruit is else taken for fruit that is
all these days behind."""


class PopulationOrigin(StrEnum):
    """How fruit came to be a population."""

    PICKED = "picked"
    LEFT = "left"
    TAKEN = "taken"


_EVER = datetime.min.replace(tzinfo=UTC)


class Population(NamedTuple):
    """The harvest of that id, or what the picking over of that id left or took."""

    root: str
    origin: PopulationOrigin


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
            self._harvests[batch_id] = Population(root, PopulationOrigin.PICKED)
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
            return Population(own[-1].id, PopulationOrigin.LEFT)
        if batch.picked_over in self.pickings:
            picking = self.pickings[batch.picked_over or ""]
            if picking.batch_id != batch_id or by is None or picking.order < by.order:
                return Population(
                    picking.id, PopulationOrigin.TAKEN if batch.taken else PopulationOrigin.LEFT
                )
        return self.harvest(batch_id)

    def began(self, population: Population) -> datetime:
        """When a population came to be; a harvest was there all along."""
        picking = self.pickings.get(population.root)
        return _EVER if picking is None else picking.at

    def before(self, check: Check) -> Population:
        """The population that a check looked at."""
        return self.of(check.batch_id, check)


def fit_from_age(crop: CropConstants, eat_within_days: float) -> tuple[float, float]:
    """The age from which a hand takes fruit as fit for buyers who eat it within so many days, and
    the sd in age by which it is off for a whole sample."""
    rate = crop.response.relative_rate
    gain = crop.rate_per_day * float(days_gained(rate, np.array(KITCHEN_C), eat_within_days))
    return crop.ready_age - KITCHEN_COUNTED * gain, float(
        np.hypot(crop.judgement_sd, KITCHEN_DOUBT * gain)
    )


@dataclass(frozen=True, slots=True)
class PickingOverCache:
    """What followed from pickings over, by all that it followed from: of the question ``before``,
    and of the one that is asked ``now``, in all its rounds."""

    before: Mapping[Hashable, Believed] = field(default_factory=dict)
    now: dict[Hashable, Believed] = field(default_factory=dict)

    def next(self, again: bool) -> "PickingOverCache":
        """For the next question, which may be ``again`` that of the same book."""
        if again:
            return PickingOverCache(self.before, dict(self.now))
        return PickingOverCache(self.now)

    def after(self, before: Believed, picking: PickingOver, taken: bool) -> Believed:
        """What follows from a picking over, worked out if it is not known yet."""
        bands = before.bands
        tables = tuple(table.tobytes() for table in (bands.part, bands.off_sds, bands.sds))
        numbers = before.mean, before.doubt_sd, before.fruit_sd, before.ripens, before.rate_sd
        key = numbers, tables, picking, taken
        known = self.now.get(key) or self.before.get(key)
        self.now[key] = known or after(before, picking, taken)
        return self.now[key]


@dataclass(frozen=True, slots=True)
class AbleSoFar:
    """By how much the log of the odds that a fruit can ripen is above the book's, as believed so
    far: by all checks, ``of_kind``, and ``without`` each picking over, by its id, with the sd of
    what all batches share."""

    of_kind: Mapping[CropKind, float] = field(default_factory=dict)
    without: Mapping[str, tuple[float, float]] = field(default_factory=dict)


def sortings_of(
    farm: FarmModel,
    populations: Populations,
    number: Mapping[Population, int],
    constants: Mapping[CropKind, CropConstants],
    kind_of: Sequence[CropKind],
    able: AbleSoFar,
) -> list[Sorting]:
    """How the harvests came of one another that picking over left or took.

    ``number`` has the harvests in order, ``kind_of`` the kind of each, and ``able`` is
    what is believed so far of how much can ripen.
    """
    found = []
    for own, n in number.items() if populations.pickings else ():
        if own.origin is PopulationOrigin.PICKED:
            continue
        check, crop = populations.pickings[own.root], constants[kind_of[n]]
        able_sd = float(farm.crops.able_sd[farm.cultivars.crop[farm.harvests.cultivar[n]]])
        log_odds, shared_sd = able.without.get(check.id, (0.0, able_sd))
        found.append(
            Sorting(
                harvest=n,
                source=number[populations.before(check)],
                picking=picking_over(check, crop, float(of_one_batch(able_sd, shared_sd))),
                taken=own.origin is PopulationOrigin.TAKEN,
                rate_per_day=crop.rate_per_day,
                log_odds_without=log_odds,
                log_odds=able.of_kind.get(kind_of[n], 0.0),
            )
        )
    return found


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

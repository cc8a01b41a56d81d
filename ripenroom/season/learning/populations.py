"""Which fruit a batch is at a time: all of a harvest, or what picking over left or took of it.

Whoever squeezes fruit of a batch that was picked over sees what the hand left there. Each picking
over so ends one population and begins two, and a check tells of the one that it was of.
"""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.kitchen import KITCHEN_C, days_gained
from ripenroom.season.crop_constants import CropConstants
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
        self._of_batch: dict[str, list[Check]] = {}
        for check in sorted(self.pickings.values(), key=lambda check: check.order):
            self._of_batch.setdefault(check.batch_id, []).append(check)

    def of(self, batch_id: str, by: Check | None = None) -> Population:
        """The population that a batch is of now, or was of just before the check ``by``."""
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
        return Population(harvest_of(batch_id, self._batches), Way.PICKED)

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

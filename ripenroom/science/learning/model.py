"""What is to be learned: the unknowns of a farm, what is believed of them, and the checks.

A check of a batch sees the mean age ``pick_age + gain`` of its fruit, which has gained

    gain = rate * days * exp(cultivar_rate + slope_offset * slope_effect)

in so many reference days. Unknown are, all Normal before any check,

- for each crop ``crop_rate``, the log of how much faster than its profile it softens on this farm,
  and ``slope_offset``, how many sds its activation energy is off; ``slope_effect`` is what one sd
  of it adds to the log of the days, on the check's own way; and ``able_offset``, how many sds the
  log of the odds that a fruit can ripen is off;
- for each cultivar ``cultivar_rate``, the log of its factor, drawn around its crop's ``crop_rate``,
  and ``log_spread``, the log of how much more its fruit differ than usual;
- for each batch ``pick_age``, its age as the pick left it.

Cultivars of a crop so learn from one another, but a cultivar with many checks stands for itself
(partial pooling).
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Likelihood
from ripenroom.science.softening import Floats

SPREAD_SD = 0.3
"""Sd of the log of how much more the fruit of a cultivar differ than usual: a third either way."""


@dataclass(frozen=True, slots=True)
class CropUnknowns:
    """Crops: ``rate`` per reference day, what is believed of ``crop_rate``, and the sd of the log
    of the odds that a fruit can ripen (``able_sd``); shape (crops,)."""

    rate: Floats
    log_mean: Floats
    log_sd: Floats
    able_sd: Floats


@dataclass(frozen=True, slots=True)
class CultivarUnknowns:
    """Cultivars: their crop, and mean and sd of how far ``cultivar_rate`` is off ``crop_rate``."""

    crop: Indices
    log_mean: Floats
    log_sd: Floats


@dataclass(frozen=True, slots=True)
class LessonEvidence:
    """What is known of single cultivars' ``cultivar_rate`` from elsewhere; shape (tellings,)."""

    cultivar: Indices
    log_rate: Floats
    log_sd: Floats


@dataclass(frozen=True, slots=True)
class HarvestUnknowns:
    """Batches, or all that were split from one: cultivar, age at pick with doubt, fruit's sd."""

    cultivar: Indices
    age: Floats
    age_sd: Floats
    fruit_sd: Floats


@dataclass(frozen=True, slots=True)
class CheckColumns:
    """Checks: of which harvest, after how many reference days, and ``slope_effect`` until then.

    ``kinds`` are likelihoods with the numbers of the checks that each is of, in its own order.
    """

    harvest: Indices
    days: Floats
    slope: Floats
    kinds: tuple[tuple[Likelihood, Indices], ...]

    @classmethod
    def none(cls) -> "CheckColumns":
        """Columns without any check."""
        return cls(np.zeros(0, dtype=np.intp), np.zeros(0), np.zeros(0), ())


@dataclass(frozen=True, slots=True)
class FarmModel:
    """A farm to be learned of: all unknowns, what is believed of them, lessons, and checks."""

    crops: CropUnknowns
    cultivars: CultivarUnknowns
    told: LessonEvidence
    harvests: HarvestUnknowns
    checks: CheckColumns

    @property
    def shared(self) -> int:
        """How many unknowns are shared between harvests."""
        return 3 * self.crops.rate.size + 2 * self.cultivars.crop.size

    @property
    def crop_rate(self) -> slice:
        """Where ``crop_rate`` of every crop is among the shared unknowns."""
        return slice(0, self.crops.rate.size)

    @property
    def slope_offset(self) -> slice:
        """Where ``slope_offset`` of every crop is."""
        return slice(self.crops.rate.size, 2 * self.crops.rate.size)

    @property
    def cultivar_rate(self) -> slice:
        """Where ``cultivar_rate`` of every cultivar is."""
        first = 2 * self.crops.rate.size
        return slice(first, first + self.cultivars.crop.size)

    @property
    def log_spread(self) -> slice:
        """Where ``log_spread`` of every cultivar is."""
        first = self.cultivar_rate.stop
        return slice(first, first + self.cultivars.crop.size)

    @property
    def able_offset(self) -> slice:
        """Where ``able_offset`` of every crop is."""
        return slice(self.log_spread.stop, self.shared)

    def own(self) -> Indices:
        """Numbers of ``cultivar_rate``, ``slope_offset``, ``log_spread`` and ``able_offset`` for
        each cultivar, shape (cultivars, 4)."""
        numbers = np.arange(self.cultivars.crop.size)
        return np.column_stack(
            [
                self.cultivar_rate.start + numbers,
                self.slope_offset.start + self.cultivars.crop,
                self.log_spread.start + numbers,
                self.able_offset.start + self.cultivars.crop,
            ]
        ).astype(np.intp)

    def prior(self) -> tuple[Floats, Floats]:
        """Mean and precision matrix of the shared unknowns before any check.

        What was told of cultivars is in both.
        """
        crops, cultivars, told = self.crops, self.cultivars, self.told
        precision = np.zeros((self.shared, self.shared))
        pull = np.zeros(self.shared)
        numbers = np.arange(self.shared)
        crop_rate, cultivar_rate = numbers[self.crop_rate], numbers[self.cultivar_rate]
        slope_offset, log_spread = numbers[self.slope_offset], numbers[self.log_spread]
        precision[crop_rate, crop_rate] += crops.log_sd**-2
        pull[crop_rate] += crops.log_mean * crops.log_sd**-2
        precision[slope_offset, slope_offset] += 1.0
        able_offset = numbers[self.able_offset]
        precision[able_offset, able_offset] += 1.0
        precision[log_spread, log_spread] += SPREAD_SD**-2
        own = cultivars.log_sd**-2
        parent = crop_rate[cultivars.crop]
        precision[cultivar_rate, cultivar_rate] += own
        np.add.at(precision, (parent, parent), own)
        precision[cultivar_rate, parent] -= own
        precision[parent, cultivar_rate] -= own
        pull[cultivar_rate] += own * cultivars.log_mean
        np.add.at(pull, parent, -own * cultivars.log_mean)
        weight = told.log_sd**-2
        np.add.at(precision, (cultivar_rate[told.cultivar], cultivar_rate[told.cultivar]), weight)
        np.add.at(pull, cultivar_rate[told.cultivar], weight * told.log_rate)
        return np.asarray(np.linalg.solve(precision, pull), float), precision

    def prior_sd(self) -> Floats:
        """Sd of each shared unknown before any check."""
        return np.asarray(np.sqrt(np.diag(np.linalg.inv(self.prior()[1]))))

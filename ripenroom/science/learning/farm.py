"""What is to be learned: the unknowns of a farm, what is believed of them, and the checks.

A check of a batch sees the mean age ``x = mu + G`` of its fruit, ``mu`` its age at pick and

    G = rate * D * exp(lam + eps * rho)

what it has gained in ``D`` reference days. Unknown are, all Normal before any check,

- for each crop ``kap``, the log of how much faster than its profile it softens on this farm, and
  ``eps``, how many sds its activation energy is off; ``rho`` is what one sd of it adds to the log
  of the days, on the check's own way;
- for each cultivar ``lam``, the log of its factor, drawn around its crop's ``kap``, and ``tau``,
  the log of how much more its fruit differ than usual;
- for each batch ``mu``, as the pick left it.

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
class Crops:
    """Crops: ``rate`` per reference day, and what is believed of ``kap``; shape (crops,)."""

    rate: Floats
    log_mean: Floats
    log_sd: Floats


@dataclass(frozen=True, slots=True)
class Cultivars:
    """Cultivars: their crop, and ``lam`` around its ``kap``: mean and sd of the difference."""

    crop: Indices
    log_mean: Floats
    log_sd: Floats


@dataclass(frozen=True, slots=True)
class Told:
    """What is known of single cultivars' ``lam`` from elsewhere; shape (tellings,)."""

    cultivar: Indices
    log_rate: Floats
    log_sd: Floats


@dataclass(frozen=True, slots=True)
class Harvests:
    """Batches, or all that were split from one: cultivar, age at pick with doubt, fruit's sd."""

    cultivar: Indices
    age: Floats
    age_sd: Floats
    fruit_sd: Floats


@dataclass(frozen=True, slots=True)
class Checks:
    """Checks: of which harvest, after how many reference days, and ``rho`` on the way there.

    ``kinds`` are likelihoods with the numbers of the checks that each is of, in its own order.
    """

    harvest: Indices
    days: Floats
    slope: Floats
    kinds: tuple[tuple[Likelihood, Indices], ...]

    @classmethod
    def none(cls) -> "Checks":
        """No checks at all."""
        return cls(np.zeros(0, dtype=np.intp), np.zeros(0), np.zeros(0), ())


@dataclass(frozen=True, slots=True)
class Farm:
    """All of it."""

    crops: Crops
    cultivars: Cultivars
    told: Told
    harvests: Harvests
    checks: Checks

    @property
    def shared(self) -> int:
        """How many unknowns are shared between harvests."""
        return 2 * (self.crops.rate.size + self.cultivars.crop.size)

    @property
    def kap(self) -> slice:
        """Where ``kap`` of every crop is among the shared unknowns."""
        return slice(0, self.crops.rate.size)

    @property
    def eps(self) -> slice:
        """Where ``eps`` of every crop is."""
        return slice(self.crops.rate.size, 2 * self.crops.rate.size)

    @property
    def lam(self) -> slice:
        """Where ``lam`` of every cultivar is."""
        first = 2 * self.crops.rate.size
        return slice(first, first + self.cultivars.crop.size)

    @property
    def tau(self) -> slice:
        """Where ``tau`` of every cultivar is."""
        return slice(self.lam.stop, self.shared)

    def own(self) -> Indices:
        """Numbers of ``lam``, ``eps`` and ``tau`` for each cultivar, shape (cultivars, 3)."""
        numbers = np.arange(self.cultivars.crop.size)
        return np.column_stack(
            [
                self.lam.start + numbers,
                self.eps.start + self.cultivars.crop,
                self.tau.start + numbers,
            ]
        ).astype(np.intp)

    def prior(self) -> tuple[Floats, Floats]:
        """Mean and precision matrix of the shared unknowns before any check.

        What was told of cultivars is in both.
        """
        crops, cultivars, told = self.crops, self.cultivars, self.told
        precision = np.zeros((self.shared, self.shared))
        pull = np.zeros(self.shared)
        kap, lam = np.arange(self.shared)[self.kap], np.arange(self.shared)[self.lam]
        eps, tau = np.arange(self.shared)[self.eps], np.arange(self.shared)[self.tau]
        precision[kap, kap] += crops.log_sd**-2
        pull[kap] += crops.log_mean * crops.log_sd**-2
        precision[eps, eps] += 1.0
        precision[tau, tau] += SPREAD_SD**-2
        own = cultivars.log_sd**-2
        parent = kap[cultivars.crop]
        precision[lam, lam] += own
        np.add.at(precision, (parent, parent), own)
        precision[lam, parent] -= own
        precision[parent, lam] -= own
        pull[lam] += own * cultivars.log_mean
        np.add.at(pull, parent, -own * cultivars.log_mean)
        weight = told.log_sd**-2
        np.add.at(precision, (lam[told.cultivar], lam[told.cultivar]), weight)
        np.add.at(pull, lam[told.cultivar], weight * told.log_rate)
        return np.asarray(np.linalg.solve(precision, pull), float), precision

    def prior_sd(self) -> Floats:
        """Sd of each shared unknown before any check."""
        return np.asarray(np.sqrt(np.diag(np.linalg.inv(self.prior()[1]))))

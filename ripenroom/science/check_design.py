"""How much some fruit of a batch tell, before any of them is squeezed.

Two things are unknown of a batch: how old its fruit were at one moment, and how fast they age. A
check tells the mean age at its own time; a date follows from the mean age at that date. All three
are linear in the two unknowns, so what a check would leave of the doubt about the date follows
from the Normal rule for one more observation, whatever the check turns out to say.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from ripenroom.science.clock import Indices
from ripenroom.science.compiled import ndtr
from ripenroom.science.softening import Floats, FloatsLike, firmness_n_at_age

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_STEP = 1e-3

_LEAST_LEFT = 0.05
"""Part of the variance of a rate's log that one check always leaves: rates between those that are
told apart would be lost otherwise."""


@dataclass(frozen=True, slots=True)
class CheckInformation:
    """What fruit tell about the mean age of their batch: ``per_fruit`` is the Fisher information
    of one (1/age^2), ``shared_sd`` the error in age that all fruit of a check have in common."""

    per_fruit: float
    shared_sd: float

    def error_of(self, fruit: int) -> float:
        """Standard error in age of what so many fruit tell."""
        return float(np.sqrt(1.0 / max(fruit * self.per_fruit, 1e-12) + self.shared_sd**2))


def telling_of_feel(
    mean_age: float, fruit_sd: float, edges: FloatsLike, judgement_sd: float
) -> CheckInformation:
    """Of hand feel; ``edges`` are the ages that part the feels, increasing.

    The information of one draw from a Normal that is only known by its interval:
    sum over the intervals of (change of density)^2 / probability.
    """
    z = np.pad((np.asarray(edges, float) - mean_age) / fruit_sd, 1, constant_values=(-40.0, 40.0))
    density = np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)
    share = np.maximum(np.diff(ndtr(z)), 1e-12)
    per_fruit = float(np.sum(np.square(np.diff(density)) / share)) / fruit_sd**2
    return CheckInformation(per_fruit, judgement_sd)


def telling_of_gauge(
    mean_age: float,
    fruit_sd: float,
    highest_n: float,
    lowest_n: float,
    error_n: float,
    shared_n: float,
) -> CheckInformation:
    """Of gauge readings, whose own error is ``error_n`` (N) and ``shared_n`` (N) in common.

    Taken from how the mean firmness of a batch moves with its mean age.
    """

    def moments(age: float) -> tuple[float, float]:
        firmness = firmness_n_at_age(age + fruit_sd * _NODES, highest_n, lowest_n)
        mean = float(firmness @ _WEIGHTS)
        return mean, float(np.square(firmness - mean) @ _WEIGHTS)

    slope = (moments(mean_age + _STEP)[0] - moments(mean_age - _STEP)[0]) / (2.0 * _STEP)
    variance = moments(mean_age)[1] + error_n**2
    slope = max(abs(slope), 1e-9)
    return CheckInformation(slope**2 / variance, shared_n / slope)


@dataclass(frozen=True, slots=True)
class AgeDoubt:
    """What is not known of a batch, in age.

    The mean age is known to within ``age_sd`` at the batch's reference point
    (:mod:`.reference_point`), and the log of the rate from there on to within ``rate_sd``.
    """

    age_sd: float
    rate_sd: float

    def _parts(self, advance: float) -> Floats:
        return np.array([self.age_sd, advance * self.rate_sd])

    def sd_at(self, advance: float) -> float:
        """Sd of the mean age once so much age was gained since the reference point."""
        return float(np.linalg.norm(self._parts(advance)))

    def of_date_after(
        self, fruit: FloatsLike, telling: CheckInformation, advance: float, advance_at_date: float
    ) -> Floats:
        """Sd in age at a date after so many fruit were squeezed, as a share of that before.

        ``advance`` is the age gained since the reference point when the fruit are squeezed,
        ``advance_at_date`` that on the date. 1 for no fruit.
        """
        number = np.asarray(fruit, float)
        here, there = self._parts(advance), self._parts(advance_at_date)
        before = float(there @ there)
        if before <= 0.0 or telling.per_fruit <= 0.0:
            return np.ones_like(number)
        with np.errstate(divide="ignore"):
            error = 1.0 / (number * telling.per_fruit) + telling.shared_sd**2
        removed = float(here @ there) ** 2 / (float(here @ here) + error)
        return np.asarray(np.sqrt(np.maximum(1.0 - removed / before, 0.0)))


@dataclass(frozen=True, slots=True)
class Ageing:
    """Mean ages of a batch now, one for each truth that is drawn of it (truths,): of ``rate_z``
    (truths,) sds of the log of its rate and ``age_z`` sds of its age at the reference point."""

    age: Floats
    rate_z: Floats

    @classmethod
    def drawn(
        cls,
        mean_age: float,
        doubt: AgeDoubt,
        gained: float,
        rate_z: Floats,
        age_z: Floats,
    ) -> "Ageing":
        """Where the fruit has gained so much age since, at the usual rate."""
        age = mean_age + age_z * doubt.age_sd
        return cls(age + gained * np.exp(rate_z * doubt.rate_sd), rate_z)

    def rho(self, error: float) -> float:
        """Correlation of what a check finds, with such a standard error, with the log of the
        rate."""
        return float((self.age * self.rate_z).mean() / np.hypot(self.age.std(), error))

    def findings(self, error: float, sds: Floats) -> Floats:
        """What is found so many sds from its middle."""
        return np.asarray(self.age.mean() + sds * np.hypot(self.age.std(), error))


def gain_of_finding(
    worth: npt.NDArray[np.floating[Any]], today: int, age: Floats, finding: Floats, error: float
) -> tuple[Floats, Indices]:
    """For each finding: what the best way then is worth over that which is best ``today``, and
    which it is. ``worth`` (ways, truths) is what each way is worth in each truth."""
    expected = worth @ agreement(age, finding, error)
    chosen = np.argmax(expected, axis=0)
    return expected[chosen, np.arange(finding.size)] - expected[today], chosen


def agreement(age: Floats, finding: Floats, error: float) -> Floats:
    """How much each true mean age counts after each finding of one, with a standard ``error``:
    ``age`` (truths,), ``finding`` (findings,), the answer (truths, findings); sums to 1."""
    apart = np.square((age[:, None] - finding) / error)
    weight = np.exp(-0.5 * (apart - apart.min(axis=0)))
    return np.asarray(weight / weight.sum(axis=0))


def rates_believed(rate_z: Floats, rho: float, found_z: Floats) -> Floats:
    """How much each rate is believed in after each finding, (rates, findings); sums to 1.

    ``rate_z`` (rates,) are sds of the log of the rate from its middle, ``found_z`` (findings,) sds
    of what is found. With the age and what is found about Normal, the two correlate by ``rho``, and
    after a finding ``f`` sds off the rate is believed ``rho f`` sds off, with ``1 - rho^2`` of its
    variance left.
    """
    left = max(1.0 - rho**2, _LEAST_LEFT)
    weight = np.exp(-0.5 * np.square(rate_z[:, None] - rho * found_z) / left)
    return np.asarray(weight / weight.sum(axis=0))

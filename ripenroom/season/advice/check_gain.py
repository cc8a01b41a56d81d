"""What a plan gains from squeezing a batch before its crates go their way.

Truths of the batch's age and rate are drawn, and what a check would find in each. For each finding
the truths are weighed by how well they agree with it, and the crates go the way that is then best.
What that brings over going the way that looks best today is the expected value of sample
information. At first fruit counts at what it is worth to the plan today, and room at what it is
worth to others: as that worth falls where many crates go the same way, such a gain is an upper
bound. For the few batches that promise most the plan is really made again, after three findings.

A check also tells how fast the other batches of the cultivar soften (:mod:`.pace_taught`).
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.planning.problem import NO_WANT
from ripenroom.planning.prospects import Prospects
from ripenroom.planning.relaxation import ShadowPrices
from ripenroom.science.at_pick import SHARED_ERROR
from ripenroom.science.check_design import (
    AgeDoubt,
    Ageing,
    CheckInformation,
    agreement,
    gain_of_finding,
    telling_of_feel,
    telling_of_gauge,
)
from ripenroom.science.clock import Indices
from ripenroom.science.outlook import Outlook
from ripenroom.science.softening import Floats, firmness_n_at_age
from ripenroom.season.advice.pace_taught import PaceTaught
from ripenroom.season.advice.shared_itineraries import worth
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.moments import to_hours
from ripenroom.season.pick_ages import ERROR_OF_READING
from ripenroom.season.plans.input import PlanningInput


def telling(crop: CropConstants, age: float, fruit_sd: float, by_hand: bool) -> CheckInformation:
    """What one fruit tells, by hand or by a gauge, in a batch of that mean age and spread."""
    if by_hand:
        return telling_of_feel(age, fruit_sd, crop.feel_edges, crop.judgement_sd)
    firmness_n = float(firmness_n_at_age(age, crop.highest_n, crop.lowest_n))
    error_n = math.hypot(crop.reading_error_n, ERROR_OF_READING * firmness_n)
    return telling_of_gauge(
        age, fruit_sd, crop.highest_n, crop.lowest_n, error_n, SHARED_ERROR * error_n
    )


FRUIT = (5, 8, 12, 20, 30)
"""Numbers of fruit that are thought of: fewer may all be of one corner of a crate."""

_NEARLY_ALL = 0.85
"""The fewest fruit are advised that bring so much of what most would bring."""

_BLOCK = 10_000
"""Ways that are looked at in one go."""

_TRUTHS, _FINDINGS = 192, 48
_SEED = 5

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(3)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True, slots=True)
class GainBounds:
    """What squeezing so many ``fruit`` of a batch promises, at most: ``own_minor`` to its own
    crates, and ``pace_minor`` to those of other batches of its cultivar, number ``cultivar``.

    Of its ways ``today`` looks best; in some findings ``others`` do, each with its part of the
    ``gain``. ``drawn`` are the mean ages now, and ``error`` the standard error of what the fruit
    tell about it, which correlates with the log of the rate by ``rho``.
    """

    batch: int
    cultivar: int
    fruit: int
    own_minor: float
    pace_minor: float
    today: int
    others: Indices
    gain: Floats
    drawn: Ageing
    error: float
    rho: float

    @property
    def most_minor(self) -> float:
        """What the plan gains by the batch itself and by its pace, together (minor units)."""
        return self.own_minor + self.pace_minor


class CheckGain:
    """The batches of a planning input, and its best plan with cut crates as ``found``."""

    def __init__(
        self, laid: PlanningInput, prospects: Prospects, found: ShadowPrices, outlook: Outlook
    ) -> None:
        draws = np.random.default_rng(_SEED)
        # Halves that mirror each other: their means are exact.
        half = draws.standard_normal((2, _TRUTHS // 2))
        self._rate_z, self._age_z = np.concatenate([half, -half], axis=1)
        self._found_in = np.linspace(0, _TRUTHS, _FINDINGS, endpoint=False).astype(np.intp)
        self._noise_z = draws.standard_normal(_FINDINGS)
        self._problem, self._found, self._outlook = laid.problem, found, outlook
        self._gained = outlook.gained(np.array([to_hours(laid.now)])).advance[:, 0]
        self.value_minor = laid.problem.value(found.crates)
        ways = laid.problem.ways
        selling = np.flatnonzero(ways.want != NO_WANT)
        # In single precision, and block by block: of thousands of batches there are very many.
        self._saleable = np.zeros((ways.size, _TRUTHS), dtype=np.float32)
        for begin in range(0, selling.size, _BLOCK):
            some = selling[begin : begin + _BLOCK]
            pairs = prospects.at(some, np.zeros(some.size, dtype=np.intp))
            self._saleable[some], _ = pairs.under(self._rate_z, self._age_z)
        nowhere = ways.want == NO_WANT
        self._saleable[nowhere] = ways.share[nowhere, None]
        later = np.broadcast_to(laid.problem.later_price, laid.problem.crates.shape)[ways.batch]
        price = np.where(nowhere, later, np.append(found.fruit, 0.0)[ways.want])
        each = price * laid.problem.per_crate(ways.batch, ways.want)
        charge = found.charge(laid.problem) + laid.problem.waits
        self._worth = each.astype(np.float32)[:, None] * self._saleable
        self._worth -= charge.astype(np.float32)[:, None]
        self._pace = PaceTaught(laid, prospects, selling, price, charge)
        self._order = np.argsort(ways.batch, kind="stable")
        self._first = np.searchsorted(ways.batch[self._order], np.arange(len(laid.lines.ids) + 1))

    def promise(
        self, batch: int, line: int, crop: CropConstants, least_minor: float
    ) -> GainBounds | None:
        """What squeezing a batch, ``line`` of the outlook, promises; None if less than that."""
        problem = self._problem
        ways, crates = self._free(batch), float(problem.undecided[batch])
        if not ways.size or crates <= 0.0 or not (crop.felt or crop.probed):
            return None
        batches, way = self._outlook.batches, self._outlook.way
        drawn = Ageing.drawn(
            batches.mean_age[line],
            AgeDoubt(float(batches.doubt_sd[line]), float(way.rate_sd[line])),
            self._gained[line],
            self._rate_z,
            self._age_z,
        )
        # By hand where that means anything, else by a gauge.
        tells = telling(crop, float(drawn.age.mean()), float(batches.fruit_sd[line]), crop.felt)
        left = problem.crates[batch] * problem.fruit_per_crate[batch]
        numbers = [n for n in FRUIT if n <= left] or [max(1, int(left))]
        today = int(np.argmax(self._worth[ways].mean(axis=1)))

        def promised(fruit: int) -> GainBounds:
            error = tells.error_of(fruit)
            finding = drawn.age[self._found_in] + error * self._noise_z
            gain, chosen = gain_of_finding(self._worth[ways], today, drawn.age, finding, error)
            rho = drawn.rho(error)
            better = gain > 0.0
            return GainBounds(
                batch,
                int(self._pace.group[batch]),
                fruit,
                float(gain.mean()) * crates,
                self._pace.gain_minor(batch, rho),
                int(ways[today]),
                ways[chosen[better]],
                gain[better],
                drawn,
                error,
                rho,
            )

        many = promised(numbers[-1])
        if many.most_minor <= 0.0 or many.most_minor < least_minor:
            return None
        tried = (promised(n) for n in numbers[:-1])
        enough = (one for one in tried if one.most_minor >= _NEARLY_ALL * many.most_minor)
        return next(enough, many)

    def gain_minor(self, promise: GainBounds) -> float:
        """What the plan gains if it is made again after a finding: at the mean of what may be
        found, and at either side of it, which count 1/6, 2/3 and 1/6.

        Without ``pace_minor``, other batches go on as they were.
        """
        drawn, own = promise.drawn, self._free(promise.batch)
        finding = drawn.findings(promise.error, _NODES)
        weight = agreement(drawn.age, finding, promise.error)
        gained = 0.0
        for number, counts in enumerate(_WEIGHTS.tolist()):
            share = self._problem.ways.share.copy()
            share[own] = self._saleable[own] @ weight[:, number]
            if promise.pace_minor > 0.0:
                others, riper = self._pace.share_more(
                    promise.batch, promise.rho, float(_NODES[number])
                )
                share[others] = np.clip(share[others] + riper, 0.0, 1.0)
            after = replace(self._problem, ways=replace(self._problem.ways, share=share))
            more = worth(after).value_minor - after.value(self._found.crates)
            gained += counts * max(more, 0.0)
        return gained

    def planned(self, promise: GainBounds) -> int:
        """The way that most of a batch's crates go in the plan."""
        own = self._free(promise.batch)
        return int(own[np.argmax(self._found.crates[own])])

    def _free(self, batch: int) -> Indices:
        own = self._order[self._first[batch] : self._first[batch + 1]]
        return np.asarray(own[self._problem.ways.free[own]])

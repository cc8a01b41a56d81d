"""Small farms with checks from a seeded generator, and their posterior by sampling.

The sampler shares only the likelihood with what it is held against: draws of all unknowns from a
wide Student distribution, each weighted by how likely it really is.
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.learning.expansion import Likelihood
from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.gauge import ReadChecks
from ripenroom.science.learning.model import (
    CheckColumns,
    CropUnknowns,
    CultivarUnknowns,
    FarmModel,
    HarvestUnknowns,
    LessonEvidence,
)
from ripenroom.science.learning.posterior import Posterior
from ripenroom.science.softening import Floats, firmness_n_at_age

EDGES = np.array([-2.4, -0.85, 0.36, 3.5])
HIGHEST_N, LOWEST_N, ERROR_N, ERROR_PART = 50.0, 2.5, 1.5, 0.05
RATE, RATE_SD, FRUIT_SD, JUDGEMENT_SD = 0.8, 0.286, 0.6, 0.4
PICKED, PICKED_SD = -1.6, 0.5

_DEGREES = 8
_WIDER = 1.15
_AT_A_TIME = 20_000


@dataclass(frozen=True, slots=True)
class Layout:
    """So many harvests, each checked on the same reference days, by so many fruit at a time.

    The share ``ripens`` can ripen by the book, the log of its odds known to ``able_sd``.
    """

    harvests: int
    days: tuple[float, ...]
    by_hand: bool
    fruit: int = 20
    slope: float = 0.0
    ripens: float = 0.99
    able_sd: float = 0.0


def by_hand(counts: Floats, ripens: float = 0.99) -> FeltChecks:
    """Checks by feel of the usual crop, of whose fruit so much ripens."""
    every = np.ones(counts.shape[0])
    return FeltChecks.of(
        counts,
        np.tile(EDGES, (counts.shape[0], 1)),
        JUDGEMENT_SD * every,
        ripens * every,
        FRUIT_SD * every,
    )


def by_gauge(readings_n: Floats, ripens: float = 1.0, apart: bool = False) -> ReadChecks:
    """Checks by gauge of the usual crop, shape (checks, fruit); where what does not ripen stands
    ``apart``, two fruit were set aside in each."""
    every = np.ones(readings_n.shape[0])
    mean = readings_n.mean(axis=1)
    return ReadChecks(
        number=readings_n.shape[1] * every,
        mean_n=mean,
        squares_n2=np.square(readings_n - mean[:, None]).sum(axis=1),
        error_n=ERROR_N * every,
        error_part=ERROR_PART,
        highest_n=HIGHEST_N * every,
        lowest_n=LOWEST_N * every,
        ripens=ripens * every,
        apart=np.full(every.size, apart),
        aside=np.where(apart, 2.0, 0.0) * every,
        stays_n=47.0 * every,
    )


def counted(ages: Floats) -> Floats:
    """Fruit of each feel, from ages of shape (checks, fruit)."""
    feels = np.searchsorted(EDGES, ages)
    return np.stack([(feels == feel).sum(axis=1) for feel in range(5)], axis=1).astype(float)


def farm(layout: Layout, seed: int) -> tuple[FarmModel, float]:
    """A farm of one cultivar, and its true log rate."""
    rng = np.random.default_rng(seed)
    log_rate = rng.normal(0.0, RATE_SD)
    fruit_sd = FRUIT_SD * np.exp(rng.normal(0.0, 0.3))
    pick_age = rng.normal(PICKED, PICKED_SD, layout.harvests)
    harvest = np.repeat(np.arange(layout.harvests), len(layout.days))
    days = np.tile(np.array(layout.days, float), layout.harvests)
    age = pick_age[harvest] + RATE * days * np.exp(log_rate)
    number = harvest.size
    ages = rng.normal(age[:, None], fruit_sd, (number, layout.fruit))
    odds = layout.ripens / (1.0 - layout.ripens) * np.exp(rng.normal(0.0, layout.able_sd))
    never = rng.random(ages.shape) >= odds / (1.0 + odds) if layout.able_sd else ages > np.inf
    likelihood: Likelihood
    if layout.by_hand:
        seem = ages + rng.normal(0.0, JUDGEMENT_SD, (number, 1))
        likelihood = by_hand(counted(np.where(never, -9.0, seem)), layout.ripens)
    else:
        firmness = firmness_n_at_age(ages, HIGHEST_N, LOWEST_N)
        error = np.hypot(ERROR_N, ERROR_PART * firmness)
        own, all_of_it = rng.standard_normal(firmness.shape), rng.standard_normal((number, 1))
        shared = 0.5 * error.mean(axis=1, keepdims=True) * all_of_it
        likelihood = by_gauge(firmness + error * own + shared)
    nothing = np.empty(0)
    return (
        FarmModel(
            CropUnknowns(
                np.array([RATE]),
                np.zeros(1),
                np.array([RATE_SD * np.sqrt(2.0 / 3.0)]),
                np.array([layout.able_sd]),
            ),
            CultivarUnknowns(
                np.zeros(1, np.intp), np.zeros(1), np.array([RATE_SD * np.sqrt(1 / 3)])
            ),
            LessonEvidence(np.empty(0, np.intp), nothing, nothing),
            HarvestUnknowns(
                np.zeros(layout.harvests, np.intp),
                np.full(layout.harvests, PICKED),
                np.full(layout.harvests, PICKED_SD),
                np.full(layout.harvests, FRUIT_SD),
            ),
            CheckColumns(
                harvest,
                days,
                np.full(number, layout.slope),
                ((likelihood, np.arange(number)),),
            ),
        ),
        log_rate,
    )


def dense(posterior: Posterior) -> Floats:
    """Covariance of all unknowns, the shared ones first, by plain inversion."""
    arrow = posterior.arrow
    shared, harvests = arrow.tip.shape[0], arrow.diagonal.size
    matrix = np.zeros((shared + harvests, shared + harvests))
    matrix[:shared, :shared] = arrow.tip
    for number in range(harvests):
        own = shared + number
        matrix[own, own] = arrow.diagonal[number]
        matrix[own, arrow.own[number]] = matrix[arrow.own[number], own] = arrow.side[number]
    return np.asarray(np.linalg.inv(matrix))


@dataclass(frozen=True, slots=True)
class Sampled:
    """Draws of all unknowns, the shared ones first, with weights that add up to 1."""

    draws: Floats
    weight: Floats

    @property
    def mean(self) -> Floats:
        """Posterior means."""
        return np.asarray(self.weight @ self.draws)

    @property
    def sd(self) -> Floats:
        """Posterior standard deviations."""
        return np.asarray(np.sqrt(self.weight @ np.square(self.draws - self.mean)))

    @property
    def effective(self) -> float:
        """How many independent draws it is worth."""
        return float(1.0 / np.square(self.weight).sum())


def sampled(posterior: Posterior, draws: int, seed: int = 0) -> Sampled:
    """The posterior of a farm of one kind of check, by importance sampling."""
    rng = np.random.default_rng(seed)
    of, centre = posterior.farm, posterior.mean
    root = np.linalg.cholesky(dense(posterior)) * _WIDER
    size = root.shape[0]
    spread = np.sqrt(rng.chisquare(_DEGREES, draws) / _DEGREES)
    off = rng.standard_normal((draws, size)) / spread[:, None]
    found = np.concatenate([centre.shared, centre.age]) + off @ root.T
    log_drawn = -0.5 * (_DEGREES + size) * np.log1p(np.square(off).sum(axis=1) / _DEGREES)
    log = log_posterior(of, found)
    weight = np.exp(log - log_drawn - (log - log_drawn).max())
    return Sampled(found, weight / weight.sum())


def log_posterior(of: FarmModel, unknown: Floats) -> Floats:
    """Log posterior density, but for a constant, of draws of shape (draws, unknowns)."""
    mean, precision = of.prior()
    shared, age = unknown[:, : of.shared], unknown[:, of.shared :]
    off, aside = shared - mean, (age - of.harvests.age) / of.harvests.age_sd
    log = -0.5 * (np.einsum("di,ij,dj->d", off, precision, off) + np.square(aside).sum(axis=1))
    ((likelihood, _),) = of.checks.kinds
    cultivar_rate, slope_offset, log_spread, able_offset = (
        shared[:, part.start]
        for part in (of.cultivar_rate, of.slope_offset, of.log_spread, of.able_offset)
    )
    able = of.crops.able_sd[0] * able_offset
    for check in range(of.checks.days.size):
        gain = (
            RATE
            * of.checks.days[check]
            * np.exp(cultivar_rate + slope_offset * of.checks.slope[check])
        )
        x, sd = age[:, of.checks.harvest[check]] + gain, FRUIT_SD * np.exp(log_spread)
        for first in range(0, x.size, _AT_A_TIME):
            some = slice(first, first + _AT_A_TIME)
            same = np.full(x[some].size, check, dtype=np.intp)
            log[some] += likelihood.expand(same, x[some], sd[some], able[some]).value
    return np.asarray(log)

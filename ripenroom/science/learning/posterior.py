"""What checks leave believed of all unknowns together: their means and their covariance.

The mode is found by Newton's method, whose matrix is an :class:`ArrowheadMatrix`; its inverse
there is the covariance (Laplace). The mode of a skew distribution is not its mean: to next order
the mean lies

    half of (covariance) times (third derivatives contracted with the covariance)

further on, which is added. Every pass costs one look at each check that moved.

The matrix is shaped like an arrowhead: one diagonal entry for each harvest, and a small dense tip.
Harvests do not touch one another, only the few shared unknowns, and of those each touches a few.
So all that is done with the matrix costs as much as there are harvests.
"""

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Expansion, ThirdDerivatives
from ripenroom.science.learning.likelihood_cache import (
    Evaluation,
    Evaluator,
    Point,
    Trail,
)
from ripenroom.science.learning.model import FarmModel
from ripenroom.science.learning.parts import FarmPart, parts_of, same_farm
from ripenroom.science.softening import Floats


@dataclass(frozen=True)
class ArrowheadMatrix:
    """``diagonal`` (harvests,), ``side`` (harvests, k) in the columns ``own`` (harvests, k) of the
    tip, ``tip`` (shared, shared). Symmetric; raises ``LinAlgError`` when it is solved and is not
    :attr:`solvable`."""

    diagonal: Floats
    side: Floats
    own: Indices
    tip: Floats

    @cached_property
    def _root(self) -> Floats:
        """Of what is left of the tip without the harvests, by Cholesky."""
        if (self.diagonal <= 0.0).any():
            raise np.linalg.LinAlgError("not positive definite")
        rest = self.tip.copy()
        lost = np.einsum("hi,hj->hij", self.side, self.side / self.diagonal[:, None])
        np.subtract.at(rest, (self.own[:, :, None], self.own[:, None, :]), lost)
        return np.asarray(np.linalg.cholesky(rest))

    @cached_property
    def solvable(self) -> bool:
        """Whether it is positive definite."""
        try:
            _ = self._root
        except np.linalg.LinAlgError:
            return False
        return True

    @cached_property
    def tip_covariance(self) -> Floats:
        """Inverse, as far as the tip goes."""
        return self._tip_solved(np.eye(self.tip.shape[0]))

    def solve(self, of_harvests: Floats, of_tip: Floats) -> tuple[Floats, Floats]:
        """The matrix's inverse times a vector, in its two parts."""
        right = of_tip.copy()
        np.subtract.at(right, self.own, self.side * (of_harvests / self.diagonal)[:, None])
        tip = self._tip_solved(right)
        back = np.einsum("hi,hi->h", self.side, tip[self.own])
        return (of_harvests - back) / self.diagonal, tip

    def _tip_solved(self, right: Floats) -> Floats:
        # scipy.linalg would use that the root is half empty; it takes longer to import than this
        # takes in a whole season.
        return np.asarray(np.linalg.solve(self._root.T, np.linalg.solve(self._root, right)))

    @cached_property
    def covariances(self) -> Floats:
        """Of each harvest's own unknown and its k shared ones, shape (harvests, 1 + k, 1 + k)."""
        shared = self.tip_covariance[self.own[:, :, None], self.own[:, None, :]]
        lean = -self.side / self.diagonal[:, None]
        cross = np.einsum("hi,hij->hj", lean, shared)
        size = 1 + self.own.shape[1]
        found = np.empty((self.diagonal.size, size, size))
        found[:, 1:, 1:] = shared
        found[:, 0, 1:] = found[:, 1:, 0] = cross
        found[:, 0, 0] = 1.0 / self.diagonal + np.einsum("hi,hi->h", cross, lean)
        return found


_MOST_STEPS = 60
_SETTLED = 2e-3
"""Steps below this, in age or in a log, end the search; the next would be of its square."""

_LONGEST_STEP = 1.5


class Cancelled(Exception):  # noqa: N818
    """The search was called off."""


@dataclass(frozen=True, slots=True)
class Posterior:
    """``mean`` of all unknowns, their ``mode``, and their covariance as the inverse of ``arrow``.

    ``look`` is how the checks look from the mode. ``parts`` are the posteriors of what can be
    learned by itself; of such a part ``trail`` is how it was found.
    """

    farm: FarmModel
    mode: Point
    mean: Point
    arrow: ArrowheadMatrix
    look: Evaluation
    parts: "tuple[Posterior, ...]" = ()
    trail: Trail | None = None


def learn(
    farm: FarmModel,
    cancel: threading.Event | None = None,
    before: Sequence[Posterior] = (),
) -> Posterior:
    """The posterior of a farm; raises :class:`Cancelled`.

    Crops have no unknown in common, so each is searched by itself. The answer is found from the
    farm alone: checks that contradict one another can leave two hills, and where a search that went
    on from another farm's answer ends would hang on what was asked before. Of ``before`` is taken
    only what would be worked out again to the same bit.
    """
    known = [part for one in before for part in one.parts]
    parts = parts_of(farm)
    found = [_learned(part.farm, cancel, known) for part in parts]
    return _together(farm, parts, found)


def _learned(
    farm: FarmModel, cancel: threading.Event | None, known: Sequence[Posterior]
) -> Posterior:
    for one in known:
        if same_farm(one.farm, farm):
            return one
    # Most that was seen of the same crop is seen again; of another nothing, which only takes time.
    trails = [one.trail for one in known if one.farm.crops.rate == farm.crops.rate]
    return _Learner(farm, cancel, trails[-1] if trails else None).learn()


def _together(farm: FarmModel, parts: Sequence[FarmPart], found: Sequence[Posterior]) -> Posterior:
    """The posterior of a farm by those of its parts."""
    own, number = farm.own()[farm.harvests.cultivar], farm.harvests.age.size
    mode, mean = (Point(np.zeros(farm.shared), np.zeros(number)) for _ in range(2))
    diagonal, side = np.zeros(number), np.zeros(own.shape)
    tip = np.zeros((farm.shared, farm.shared))
    look = Evaluation.unknown(farm.checks.days.size)
    for part, of_part in zip(parts, found, strict=True):
        for whole, one in ((mode, of_part.mode), (mean, of_part.mean)):
            whole.shared[part.shared] = one.shared
            whole.age[part.harvests] = one.age
        diagonal[part.harvests] = of_part.arrow.diagonal
        side[part.harvests] = of_part.arrow.side
        tip[np.ix_(part.shared, part.shared)] = of_part.arrow.tip
        look.put(part.checks, of_part.look)
    arrow = ArrowheadMatrix(diagonal, side, own, tip)
    return Posterior(farm, mode, mean, arrow, look, tuple(found))


class _Learner:
    """Finds the posterior of one farm; ``before`` is how that of one like it was found."""

    def __init__(
        self, farm: FarmModel, cancel: threading.Event | None, before: Trail | None
    ) -> None:
        self._farm = farm
        self._cancel = cancel
        self._prior_mean, self._precision = farm.prior()
        self._evaluator = Evaluator(farm, before)

    def learn(self) -> Posterior:
        point, look = self._mode()
        look, third = self._evaluator.look_further(point)
        arrow = self._arrow(look.here, look.gain)
        if not arrow.solvable:
            arrow = self._safe_arrow(look)
        ages, shared = arrow.solve(*self._skew(look, third, arrow))
        mean = Point(point.shared + shared / 2.0, point.age + ages / 2.0)
        return Posterior(self._farm, point, mean, arrow, look, trail=self._evaluator.trail)

    def _mode(self) -> tuple[Point, Evaluation]:
        point = Point(self._prior_mean, self._farm.harvests.age)
        look = self._evaluator.look_from_grid(point)
        value = self._log_posterior(point, look)
        for _ in range(_MOST_STEPS):
            if self._cancel is not None and self._cancel.is_set():
                raise Cancelled
            ages, shared = self._step(point, look)
            size = max(np.abs(ages).max(initial=0.0), np.abs(shared).max(initial=0.0))
            share = min(1.0, _LONGEST_STEP / max(size, 1e-12))
            before = value
            for _ in range(20):
                there = Point(point.shared + share * shared, point.age + share * ages)
                look = self._evaluator.look_from_grid(there)
                value = self._log_posterior(there, look)
                if value >= before - 1e-9 * abs(before):
                    break
                share /= 2.0
            point = there
            if share * size < _SETTLED:
                break
        return point, look

    def _step(self, point: Point, look: Evaluation) -> tuple[Floats, Floats]:
        """Newton's step, where the target curves down; else one that surely leads uphill."""
        slope = self._slope(point, look)
        arrow = self._arrow(look.here, look.gain)
        return (arrow if arrow.solvable else self._safe_arrow(look)).solve(*slope)

    def _log_posterior(self, point: Point, look: Evaluation) -> float:
        harvests = self._farm.harvests
        off = point.shared - self._prior_mean
        aside = (point.age - harvests.age) / harvests.age_sd
        return float(look.here.value.sum() - 0.5 * (off @ self._precision @ off + aside @ aside))

    def _slope(self, point: Point, look: Evaluation) -> tuple[Floats, Floats]:
        harvests, here = self._farm.harvests, look.here
        ages, shared = self._gathered(here.x, look.gain * here.x, here.s, here.a)
        ages -= (point.age - harvests.age) / harvests.age_sd**2
        shared -= self._precision @ (point.shared - self._prior_mean)
        return ages, shared

    def _gathered(
        self, of_age: Floats, of_log_gain: Floats, of_log_spread: Floats, of_able: Floats
    ) -> tuple[Floats, Floats]:
        """Sums of what each check says of its harvest's age, and of its ``cultivar_rate``,
        ``slope_offset``, ``log_spread`` and ``able_offset``; the first two by way of the log of the
        gain, the last of the log of the odds."""
        checks, number = self._farm.checks, self._farm.shared
        ages = np.bincount(checks.harvest, of_age, self._farm.harvests.age.size)
        shared = np.zeros(number)
        of_offset = self._evaluator.able_sd * of_able
        ways = of_log_gain, checks.slope * of_log_gain, of_log_spread, of_offset
        for column, values in enumerate(ways):
            shared += np.bincount(self._evaluator.own[:, column], values, number)
        return ages.astype(float), shared

    def _safe_arrow(self, look: Evaluation) -> ArrowheadMatrix:
        """A matrix that is positive definite wherever the search may have got to."""
        here, none = look.here, np.zeros_like(look.gain)
        xx, ss, aa = (np.minimum(bend, 0.0) for bend in (here.xx, here.ss, here.aa))
        return self._arrow(
            Expansion(none, none, none, none, xx, none, ss, none, none, aa), look.gain
        )

    def _arrow(self, here: Expansion, gain: Floats) -> ArrowheadMatrix:
        """Minus the second derivatives of the target."""
        checks, harvests = self._farm.checks, self._farm.harvests
        own, slope = self._farm.own(), checks.slope

        def of_harvest(values: Floats) -> Floats:
            return np.asarray(np.bincount(checks.harvest, values, harvests.age.size), float)

        of_cultivar = harvests.cultivar[checks.harvest]

        def summed(values: Floats) -> Floats:
            return np.asarray(np.bincount(of_cultivar, values, own.shape[0]), float)

        by_log = here.xx * gain
        twice, mixed = by_log * gain + here.x * gain, here.xs * gain
        able_sd = self._evaluator.able_sd
        with_able = here.xa * gain * able_sd
        blocks = np.empty((own.shape[0], 4, 4))
        blocks[:, 0, 0] = summed(twice)
        blocks[:, 0, 1] = blocks[:, 1, 0] = summed(twice * slope)
        blocks[:, 1, 1] = summed(twice * slope * slope)
        blocks[:, 0, 2] = blocks[:, 2, 0] = summed(mixed)
        blocks[:, 1, 2] = blocks[:, 2, 1] = summed(mixed * slope)
        blocks[:, 2, 2] = summed(here.ss)
        blocks[:, 0, 3] = blocks[:, 3, 0] = summed(with_able)
        blocks[:, 1, 3] = blocks[:, 3, 1] = summed(with_able * slope)
        blocks[:, 2, 3] = blocks[:, 3, 2] = summed(here.sa * able_sd)
        blocks[:, 3, 3] = summed(here.aa * able_sd * able_sd)
        tip = self._precision.copy()
        np.subtract.at(tip, (own[:, :, None], own[:, None, :]), blocks)
        ways = by_log, by_log * slope, here.xs, here.xa * able_sd
        side = np.column_stack([of_harvest(v) for v in ways])
        diagonal = harvests.age_sd**-2 - of_harvest(here.xx)
        return ArrowheadMatrix(diagonal, -side, own[harvests.cultivar], tip)

    def _skew(
        self, look: Evaluation, third: ThirdDerivatives, arrow: ArrowheadMatrix
    ) -> tuple[Floats, Floats]:
        """Third derivatives contracted with the covariance; see the module's text.

        They are those of ``log likelihood(x, s)`` with ``x`` itself an exponential of the log of
        the gain. A check at which they are large against the covariance is too far from a Normal
        for the next order to tell anything; it counts for less.
        """
        here, gain = look.here, look.gain
        slope = self._farm.checks.slope
        of = arrow.covariances[self._farm.checks.harvest]
        age_log = of[:, 0, 1] + slope * of[:, 0, 2]
        log_log = of[:, 1, 1] + slope * (2.0 * of[:, 1, 2] + slope * of[:, 2, 2])
        log_spread = of[:, 1, 3] + slope * of[:, 2, 3]
        spread_spread = of[:, 3, 3]
        x_x = of[:, 0, 0] + gain * (2.0 * age_log + gain * log_log)
        x_spread = of[:, 0, 3] + gain * log_spread
        able_sd = self._evaluator.able_sd
        log_able = able_sd * (of[:, 1, 4] + slope * of[:, 2, 4])
        x_able = able_sd * of[:, 0, 4] + gain * log_able
        able_able = able_sd * able_sd * of[:, 4, 4]
        bend = gain * log_log
        by_age = (
            third.xxx * x_x
            + 2.0 * third.xxs * x_spread
            + third.xss * spread_spread
            + 2.0 * third.xxa * x_able
            + third.xaa * able_able
            + here.xx * bend
        )
        by_gain = (
            2.0 * here.xx * (age_log + bend)
            + 2.0 * here.xs * log_spread
            + 2.0 * here.xa * log_able
            + here.x * log_log
        )
        by_able = (
            third.xxa * x_x + 2.0 * third.xaa * x_able + third.aaa * able_able + here.xa * bend
        )
        by_spread = (
            third.xxs * x_x
            + 2.0 * third.xss * x_spread
            + third.sss * spread_spread
            + here.xs * bend
        )
        x_sd, spread_sd = np.sqrt(np.maximum(x_x, 0.0)), np.sqrt(spread_spread)
        odds_sd = np.sqrt(able_able)
        skew2 = (
            np.square(third.xxx * x_sd**3)
            + 3.0 * np.square(third.xxs * x_sd**2 * spread_sd)
            + 3.0 * np.square(third.xss * x_sd * spread_sd**2)
            + np.square(third.sss * spread_sd**3)
            + 3.0 * np.square(third.xxa * x_sd**2 * odds_sd)
            + 3.0 * np.square(third.xaa * x_sd * odds_sd**2)
            + np.square(third.aaa * odds_sd**3)
        )
        weight = 1.0 / np.hypot(1.0, skew2)
        return self._gathered(
            weight * by_age,
            weight * gain * (by_age + by_gain),
            weight * by_spread,
            weight * by_able,
        )

"""Checks as they look from where the search has got to; only what moved is looked at anew."""

from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.learning.model import FarmModel
from ripenroom.science.softening import Floats

_STILL = 0.01
"""A check that moved less than this, in age, log spread and log odds, is not looked at anew: what
its expansion says at that distance is off by some thousandth of an sd."""

_SAME_SHAPE = 0.05
_THIRD_STEP = 0.02


@dataclass(frozen=True, slots=True)
class Point:
    """Values of all unknowns: those that are shared, and the age at pick of each harvest."""

    shared: Floats
    age: Floats


@dataclass(frozen=True, slots=True)
class ThirdDerivatives:
    """Third derivatives of the log likelihood of each check."""

    xxx: Floats
    xxs: Floats
    xss: Floats
    sss: Floats

    @classmethod
    def unknown(cls, checks: int) -> "ThirdDerivatives":
        """Nothing looked at yet: all nan."""
        return cls(*(np.full(checks, np.nan) for _ in fields(cls)))


@dataclass(frozen=True, slots=True)
class LikelihoodCache:
    """Every check as it was looked at last: where, and what was seen there; nan: not yet."""

    at_age: Floats
    at_log_sd: Floats
    at_able: Floats
    expansion: Expansion
    third: ThirdDerivatives
    third_at_age: Floats

    @classmethod
    def nothing(cls, checks: int) -> "LikelihoodCache":
        """No check has been looked at."""
        nan = np.full(checks, np.nan)
        return cls(nan, nan, nan, Expansion.unknown(checks), ThirdDerivatives.unknown(checks), nan)

    def put(self, lines: Indices, other: "LikelihoodCache", of_other: Indices) -> "LikelihoodCache":
        """A copy in which some checks were seen as ``other`` saw its own."""
        copies = self.copy()
        for name in ("at_age", "at_log_sd", "at_able", "third_at_age"):
            getattr(copies, name)[lines] = getattr(other, name)[of_other]
        copies.expansion.put(lines, other.expansion.of(of_other))
        for f in fields(ThirdDerivatives):
            getattr(copies.third, f.name)[lines] = getattr(other.third, f.name)[of_other]
        return copies

    def copy(self) -> "LikelihoodCache":
        """A copy that can be overwritten."""
        expansion = Expansion(*(getattr(self.expansion, f.name).copy() for f in fields(Expansion)))
        third = ThirdDerivatives(
            *(getattr(self.third, f.name).copy() for f in fields(ThirdDerivatives))
        )
        return LikelihoodCache(
            self.at_age.copy(),
            self.at_log_sd.copy(),
            self.at_able.copy(),
            expansion,
            third,
            self.third_at_age.copy(),
        )


@dataclass(frozen=True, slots=True)
class Evaluation:
    """Checks from one point: what was ``seen`` near by, what it says ``here``, the age that each
    batch has gained (``gain``), and by how much the log odds that its fruit can ripen are up
    (``able``)."""

    seen: LikelihoodCache
    here: Expansion
    gain: Floats
    able: Floats


class Evaluator:
    """Looks at the checks of one farm."""

    def __init__(self, farm: FarmModel) -> None:
        checks, harvests = farm.checks, farm.harvests
        self._checks = checks
        self.own = farm.own()[harvests.cultivar[checks.harvest]]
        crop = farm.cultivars.crop[harvests.cultivar[checks.harvest]]
        self._reach = farm.crops.rate[crop] * checks.days
        self.able_sd = farm.crops.able_sd[crop]
        self._fruit_log_sd = np.log(harvests.fruit_sd)[checks.harvest]

    def look(self, point: Point, before: LikelihoodCache) -> Evaluation:
        """The checks from a point."""
        cultivar_rate, slope_offset, log_spread, able_offset = point.shared[self.own].T
        gain = self._reach * np.exp(cultivar_rate + slope_offset * self._checks.slope)
        age, log_sd = point.age[self._checks.harvest] + gain, self._fruit_log_sd + log_spread
        able = self.able_sd * able_offset
        off = age - before.at_age, log_sd - before.at_log_sd, able - before.at_able
        moved = ~(np.abs(off).sum(axis=0) < _STILL)
        if not moved.any():
            return Evaluation(before, before.expansion.moved(*off), gain, able)
        seen = before.copy()
        self._expand(seen.expansion, moved, age, log_sd, able)
        for at, now in ((seen.at_age, age), (seen.at_log_sd, log_sd), (seen.at_able, able)):
            at[moved] = now[moved]
        here = seen.expansion.moved(*(np.where(moved, 0.0, way) for way in off))
        return Evaluation(seen, here, gain, able)

    def with_third(self, look: Evaluation) -> Evaluation:
        """The same with third derivatives of every check."""
        seen = look.seen.copy()
        stale = ~(np.abs(seen.at_age - seen.third_at_age) < _SAME_SHAPE)
        if not stale.any():
            return look
        step = _THIRD_STEP
        around = []
        for age, log_sd in ((step, 0.0), (-step, 0.0), (0.0, step), (0.0, -step)):
            there = Expansion.unknown(stale.size)
            self._expand(there, stale, seen.at_age + age, seen.at_log_sd + log_sd, seen.at_able)
            around.append(there)
        older, younger, wider, closer = around
        third = seen.third
        for into, ahead, behind in (
            (third.xxx, older.xx, younger.xx),
            (third.xxs, older.xs, younger.xs),
            (third.xss, older.ss, younger.ss),
            (third.sss, wider.ss, closer.ss),
        ):
            into[stale] = (ahead - behind)[stale] / (2.0 * step)
        seen.third_at_age[stale] = seen.at_age[stale]
        return replace(look, seen=seen)

    def _expand(
        self,
        into: Expansion,
        which: npt.NDArray[np.bool_],
        age: Floats,
        log_sd: Floats,
        able: Floats,
    ) -> None:
        for likelihood, numbers in self._checks.kinds:
            mine = np.flatnonzero(which[numbers])
            if mine.size:
                own = numbers[mine]
                there = likelihood.expand(mine, age[own], np.exp(log_sd[own]), able[own])
                into.put(own, there)

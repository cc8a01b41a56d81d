"""Checks as they look from where the search has got to; only what moved is looked at anew."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Expansion, ThirdDerivatives
from ripenroom.science.learning.model import CheckColumns, FarmModel
from ripenroom.science.softening import Flags, Floats

_STILL = 0.01
"""A check that moved less than this, in age, log spread and log odds, is not looked at anew: what
its expansion says at that distance is off by some thousandth of an sd."""

_GRID = (0.008, 0.006, 0.006)
"""Steps, in age, log spread and log odds, between the points from which a search looks at a check:
none is further off than :data:`_STILL` from one. What is seen there hangs on the check and the
point alone, not on the way by which the search came, and so can be kept for other searches."""

_BLOCK = 1_000
"""Checks that are looked at in one go: what that takes stays in a processor's cache, which halves
the time."""


@dataclass(frozen=True, slots=True)
class Point:
    """Values of all unknowns: those that are shared, and the age at pick of each harvest."""

    shared: Floats
    age: Floats


@dataclass(frozen=True, slots=True)
class LikelihoodCache:
    """Every check as it was looked at last: where, and what was seen there; nan: not yet."""

    at_age: Floats
    at_log_sd: Floats
    at_able: Floats
    expansion: Expansion

    @classmethod
    def nothing(cls, checks: int) -> "LikelihoodCache":
        """No check has been looked at."""
        nan = np.full(checks, np.nan)
        return cls(nan, nan, nan, Expansion.unknown(checks))

    def put(self, lines: Indices, other: "LikelihoodCache", of_other: Indices) -> "LikelihoodCache":
        """A copy in which some checks were seen as ``other`` saw its own."""
        copies = self.copy()
        for name in ("at_age", "at_log_sd", "at_able"):
            getattr(copies, name)[lines] = getattr(other, name)[of_other]
        copies.expansion.put(lines, other.expansion.of(of_other))
        return copies

    def take(self, other: "LikelihoodCache", of_other: Indices, new: Flags) -> None:
        """Have what ``other`` saw from the very same points, on its lines ``of_other`` (-1: none);
        what is found is ``new`` no more."""
        some = np.flatnonzero(new & (of_other >= 0))
        there = of_other[some]
        same = np.ones(some.size, dtype=bool)
        for name in ("at_age", "at_log_sd", "at_able"):
            same &= getattr(self, name)[some] == getattr(other, name)[there]
        self.expansion.put(some[same], other.expansion.of(there[same]))
        new[some[same]] = False

    def copy(self) -> "LikelihoodCache":
        """A copy that can be overwritten."""
        expansion = Expansion(*(getattr(self.expansion, f.name).copy() for f in fields(Expansion)))
        return LikelihoodCache(
            self.at_age.copy(), self.at_log_sd.copy(), self.at_able.copy(), expansion
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

    @classmethod
    def unknown(cls, checks: int) -> "Evaluation":
        """Of checks that are :meth:`put` in."""
        nothing = LikelihoodCache.nothing(checks).copy()
        return cls(nothing, Expansion.unknown(checks), np.zeros(checks), np.zeros(checks))

    def put(self, lines: Indices, other: "Evaluation") -> None:
        """Overwrite some lines by those of ``other``, in its order."""
        for name in ("at_age", "at_log_sd", "at_able"):
            getattr(self.seen, name)[lines] = getattr(other.seen, name)
        self.seen.expansion.put(lines, other.seen.expansion)
        self.here.put(lines, other.here)
        self.gain[lines], self.able[lines] = other.gain, other.able


@dataclass(frozen=True, slots=True)
class Trail:
    """The looks of a search, one after the other; ``keys`` hold all that each of its checks is
    likely by, and ``line_of`` says where it is."""

    keys: Sequence[bytes]
    line_of: Mapping[bytes, int]
    looks: list[LikelihoodCache]

    @classmethod
    def of(cls, checks: CheckColumns) -> "Trail":
        """Of a search that has not begun."""
        keys = _keys(checks)
        return cls(keys, {key: line for line, key in enumerate(keys)}, [])

    def lines(self, checks: "Trail") -> Indices:
        """Where the checks of another trail are here, (checks,); -1: nowhere."""
        return np.array([self.line_of.get(key, -1) for key in checks.keys], dtype=np.intp)


def _keys(checks: CheckColumns) -> list[bytes]:
    """Of each check all that it is likely by, and when it was: so that hardly any two are alike."""
    keys = [b""] * checks.days.size
    for likelihood, numbers in checks.kinds:
        rows = np.column_stack([likelihood.content(), checks.days[numbers], checks.slope[numbers]])
        packed = np.ascontiguousarray(rows).view(f"V{rows.shape[1] * rows.itemsize}")[:, 0]
        for number, key in zip(numbers.tolist(), packed.tolist(), strict=True):
            keys[number] = key
    return keys


class Evaluator:
    """Looks at the checks of one farm; ``before`` is what an earlier search saw of some of them."""

    def __init__(self, farm: FarmModel, before: Trail | None = None) -> None:
        checks, harvests = farm.checks, farm.harvests
        self._checks = checks
        self.own = farm.own()[harvests.cultivar[checks.harvest]]
        crop = farm.cultivars.crop[harvests.cultivar[checks.harvest]]
        self._reach = farm.crops.rate[crop] * checks.days
        self.able_sd = farm.crops.able_sd[crop]
        self._fruit_log_sd = np.log(harvests.fruit_sd)[checks.harvest]
        self.trail: Trail | None = None
        self._before = before
        self._line_before: Indices | None = None

    def look_from_grid(self, point: Point) -> Evaluation:
        """The checks as they look from a point of a search: each is looked at from the nearest
        point of a grid, if neither this search nor the one before saw it from there."""
        if self.trail is None:
            self.trail = Trail.of(self._checks)
            if self._before is not None:
                self._line_before = self._before.lines(self.trail)
        age, log_sd, able, gain = self._from(point)
        ways = age, log_sd, able
        at_age, at_log_sd, at_able = (
            step * np.round(way / step) for step, way in zip(_GRID, ways, strict=True)
        )
        seen = LikelihoodCache(at_age, at_log_sd, at_able, Expansion.unknown(age.size))
        new = np.ones(age.size, dtype=bool)
        if self.trail.looks:
            every = np.arange(age.size)
            seen.take(self.trail.looks[-1], every, new)
        if self._before is not None and self._before.looks and self._line_before is not None:
            looks = self._before.looks
            number = min(len(self.trail.looks), len(looks) - 1)
            seen.take(looks[number], self._line_before, new)
        for likelihood, numbers in self._checks.kinds:
            for mine in _blocks(np.flatnonzero(new[numbers])):
                own = numbers[mine]
                there = likelihood.expand(mine, at_age[own], np.exp(at_log_sd[own]), at_able[own])
                seen.expansion.put(own, there)
        self.trail.looks.append(seen)
        here = seen.expansion.moved(age - at_age, log_sd - at_log_sd, able - at_able)
        return Evaluation(seen, here, gain, able)

    def look(self, point: Point, before: LikelihoodCache) -> Evaluation:
        """The checks from a point; those that were seen ``before`` from near by as they were."""
        age, log_sd, able, gain = self._from(point)
        off = age - before.at_age, log_sd - before.at_log_sd, able - before.at_able
        moved = ~(np.abs(off).sum(axis=0) < _STILL)
        if not moved.any():
            return Evaluation(before, before.expansion.moved(*off), gain, able)
        seen = before.copy()
        for likelihood, numbers in self._checks.kinds:
            for mine in _blocks(np.flatnonzero(moved[numbers])):
                own = numbers[mine]
                there = likelihood.expand(mine, age[own], np.exp(log_sd[own]), able[own])
                seen.expansion.put(own, there)
        for at, now in ((seen.at_age, age), (seen.at_log_sd, log_sd), (seen.at_able, able)):
            at[moved] = now[moved]
        here = seen.expansion.moved(*(np.where(moved, 0.0, way) for way in off))
        return Evaluation(seen, here, gain, able)

    def look_further(self, point: Point) -> tuple[Evaluation, ThirdDerivatives]:
        """Every check looked at anew from a point, with third derivatives."""
        age, log_sd, able, gain = self._from(point)
        expansion, third = Expansion.unknown(age.size), ThirdDerivatives.unknown(age.size)
        for likelihood, numbers in self._checks.kinds:
            for mine in _blocks(np.arange(numbers.size)):
                own = numbers[mine]
                there, bends = likelihood.expand_further(
                    mine, age[own], np.exp(log_sd[own]), able[own]
                )
                expansion.put(own, there)
                third.put(own, bends)
        seen = LikelihoodCache(age, log_sd, able, expansion)
        return Evaluation(seen, expansion, gain, able), third

    def _from(self, point: Point) -> tuple[Floats, Floats, Floats, Floats]:
        """Age, log spread and log odds at which each check is looked at from a point, and what its
        batch has gained by then."""
        cultivar_rate, slope_offset, log_spread, able_offset = point.shared[self.own].T
        gain = self._reach * np.exp(cultivar_rate + slope_offset * self._checks.slope)
        age, log_sd = point.age[self._checks.harvest] + gain, self._fruit_log_sd + log_spread
        return age, log_sd, self.able_sd * able_offset, gain


def _blocks(of: Indices) -> Iterator[Indices]:
    return (of[first : first + _BLOCK] for first in range(0, of.size, _BLOCK))

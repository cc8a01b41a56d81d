"""How likely each check is, near the age and spread that it is looked at with."""

from dataclasses import dataclass, fields, replace
from typing import Protocol

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class Expansion:
    """Log likelihood of each check, its slopes and its curvatures, all of shape (checks,).

    ``x`` is along the mean age of the batch's fruit, ``s`` along the log of their spread, ``a``
    along the log of the odds that a fruit can ripen.
    """

    value: Floats
    x: Floats
    s: Floats
    a: Floats
    xx: Floats
    xs: Floats
    ss: Floats
    xa: Floats
    sa: Floats
    aa: Floats

    @classmethod
    def unknown(cls, checks: int) -> "Expansion":
        """Nothing looked at yet: all nan."""
        return cls(*(np.full(checks, np.nan) for _ in fields(cls)))

    def of(self, lines: Indices) -> "Expansion":
        """The expansions of some checks only."""
        return Expansion(*(getattr(self, f.name)[lines] for f in fields(Expansion)))

    def put(self, lines: Indices, other: "Expansion") -> None:
        """Overwrite some lines by those of ``other``, in its order."""
        for f in fields(Expansion):
            getattr(self, f.name)[lines] = getattr(other, f.name)

    def moved(self, age: Floats, log_sd: Floats, able: Floats) -> "Expansion":
        """What it says at a little distance in age, log spread and log odds; curvatures stay."""
        by_x = self.xx * age + self.xs * log_sd + self.xa * able
        by_s = self.xs * age + self.ss * log_sd + self.sa * able
        by_a = self.xa * age + self.sa * log_sd + self.aa * able
        value = self.value + age * (self.x + by_x / 2.0) + log_sd * (self.s + by_s / 2.0)
        value = value + able * (self.a + by_a / 2.0)
        return replace(self, value=value, x=self.x + by_x, s=self.s + by_s, a=self.a + by_a)


@dataclass(frozen=True, slots=True)
class ThirdDerivatives:
    """Third derivatives of the log likelihood of each check, along mean age and log spread, and
    along mean age and the log of the odds; those along spread and odds matter little."""

    xxx: Floats
    xxs: Floats
    xss: Floats
    sss: Floats
    xxa: Floats
    xaa: Floats
    aaa: Floats

    @classmethod
    def unknown(cls, checks: int) -> "ThirdDerivatives":
        """Nothing looked at yet: all nan."""
        return cls(*(np.full(checks, np.nan) for _ in fields(cls)))

    def put(self, lines: Indices, other: "ThirdDerivatives") -> None:
        """Overwrite some lines by those of ``other``, in its order."""
        for f in fields(ThirdDerivatives):
            getattr(self, f.name)[lines] = getattr(other, f.name)


class Likelihood(Protocol):
    """How likely checks of one kind (feels, or gauge readings) are, by the age of the fruit.

    Each kind of check has an implementation of its own, in which its checks are numbered from 0.
    """

    def expand(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats
    ) -> Expansion:
        """Expansion of these checks, each at its own mean age and spread of the fruit, where the
        log of the odds that a fruit can ripen is by ``able`` above what was thought."""

    def expand_further(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats
    ) -> tuple[Expansion, ThirdDerivatives]:
        """The same with third derivatives."""

    def some(self, lines: Indices | slice) -> "Likelihood":
        """Some of them only."""

    def content(self) -> Floats:
        """All that their expansions follow from, a row each, (checks, n): checks with the same row
        are equally likely everywhere. Each kind has rows of a length of its own."""

    def off_by(
        self, checks: Indices, mean_age: Floats, age_sd: Floats, fruit_sd: Floats, able: Floats
    ) -> Floats:
        """How many sds each check is off a mean age that is known to within ``age_sd``.

        Positive where fruit was softer than that.
        """

    def seeming_age(self, checks: Indices, mean_age: Floats) -> Floats:
        """Mean age that the fruit of each check seems to have, by the check alone.

        Where that may be anything beyond some age, it is ``mean_age`` if that lies there.
        """

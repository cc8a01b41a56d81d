"""How fruit really softens, how long it stays good, and what a hand makes of it.

A fruit's ``stage`` is what it has softened since its first give, in days at 20 C at the usual pace.
Its firmness follows a Weibull curve of the stage, and its rate a plain Q10 of the pulp: neither is
what the program believes. All figures are invented, near what is common with pawpaw.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Numbers = npt.NDArray[np.intp]

FIRMEST_N, SOFTEST_N = 50.0, 2.5
SCALE_DAYS, SHAPE = 4.0, 1.7
"""Of the Weibull curve: its scale (days at 20 C) and how steep it is."""

FEEL_EDGES_N = (46.5, 36.0, 22.0, 3.8)
"""Firmness below which fruit has a slight give, gives, is soft, is too soft."""

READY_N, TOO_SOFT_N = 9.8, 3.8

USUAL_C, LEVEL_C = 20.0, 25.0
"""Where the pace is the usual one, and above which it gets no faster."""

KITCHEN_C = 21.0

ROTTEN_DAYS, ROTTEN_LIVES = 1.0, 1.5
"""So far beyond too soft (days at 20 C), or so many ripe lives old, anybody sees it."""

HAND_SD, HAND_OF_DAY_SD, NOSE_SD = 0.10, 0.07, 0.2
"""What a hand is off by in ln of firmness, for each fruit and for all of a day; and a nose, in
ripe lives."""


def firmness_n(stage: Floats) -> Floats:
    """Firmness (N) at a stage; before the first give it is the firmest."""
    gone = (np.maximum(stage, 0.0) / SCALE_DAYS) ** SHAPE
    return np.asarray(SOFTEST_N + (FIRMEST_N - SOFTEST_N) * np.exp(-gone))


def stage_at(newtons: Floats) -> Floats:
    """The stage (days at 20 C) at a firmness; that of what is firmer or softer than any is cut."""
    share = np.clip((newtons - SOFTEST_N) / (FIRMEST_N - SOFTEST_N), 1e-9, 1.0)
    return np.asarray(SCALE_DAYS * (-np.log(share)) ** (1.0 / SHAPE))


READY_STAGE = float(stage_at(np.array(READY_N)))
TOO_SOFT_STAGE = float(stage_at(np.array(TOO_SOFT_N)))


@dataclass(frozen=True, slots=True)
class Nature:
    """What is so for all fruit of a season: how much faster it softens for 10 K more, and how much
    faster its ripe life goes by."""

    q10: float
    life_q10: float

    def pace(self, pulp_c: Floats) -> Floats:
        """How many times as fast as at 20 C fruit softens."""
        return np.asarray(self.q10 ** ((np.minimum(pulp_c, LEVEL_C) - USUAL_C) / 10.0))

    def life_pace(self, pulp_c: Floats) -> Floats:
        """How many times as fast as at 20 C ripe life goes by."""
        return np.asarray(self.life_q10 ** ((pulp_c - USUAL_C) / 10.0))


@dataclass(slots=True)
class Fruit:
    """All fruit of a season, one entry each.

    ``pace`` is each one's own, ``life_days`` its ripe life (days at 20 C); what does not ``ripen``
    stays hard. ``stage``, ``lives`` (ripe lives gone by since it was ready) and ``pulp_c`` change.
    """

    stage: Floats
    lives: Floats
    pulp_c: Floats
    pace: Floats
    life_days: Floats
    ripens: Flags

    def of(self, some: Numbers) -> "Fruit":
        """Some of them, apart from these."""
        columns = (self.stage, self.lives, self.pulp_c, self.pace, self.life_days, self.ripens)
        return Fruit(*(column[some].copy() for column in columns))  # type: ignore[arg-type]

    def soften(
        self, which: Numbers, air_c: Floats, half_cooling_h: Floats, h: float, nature: Nature
    ) -> None:
        """Let ``which`` stand in air for ``h`` hours, of which there are few."""
        warmed = 1.0 - 0.5 ** (h / half_cooling_h)
        pulp = self.pulp_c[which] + (air_c - self.pulp_c[which]) * warmed
        self.pulp_c[which] = pulp
        days = h / 24.0
        stage = self.stage[which]
        stage += np.where(self.ripens[which], self.pace[which] * nature.pace(pulp) * days, 0.0)
        self.stage[which] = stage
        lived = nature.life_pace(pulp) * days / self.life_days[which]
        self.lives[which] += np.where(stage >= READY_STAGE, lived, 0.0)

    @property
    def past(self) -> Flags:
        """Too soft, or its ripe life is over."""
        return np.asarray((self.stage >= TOO_SOFT_STAGE) | (self.lives >= 1.0))

    @property
    def rotten(self) -> Flags:
        """So far past that anybody sees it."""
        softer = self.stage >= TOO_SOFT_STAGE + ROTTEN_DAYS
        return np.asarray(softer | (self.lives >= ROTTEN_LIVES))

    def best_within(self, days: float, nature: Nature) -> Flags:
        """Whether whoever buys it now eats it at its best: it is not past, and is ready or gets
        ready in a kitchen within so many days."""
        return np.asarray(self.ready_within(days, nature) & ~self.past)

    def ready_within(self, days: float, nature: Nature) -> Flags:
        """Whether it is ready, past or not, or gets ready in a kitchen within so many days."""
        in_kitchen = self.pace * nature.pace(np.array(KITCHEN_C)) * days
        return np.asarray(self.stage + np.where(self.ripens, in_kitchen, 0.0) >= READY_STAGE)


@dataclass(slots=True)
class Hand:
    """One grower's hand and nose, which are off a little, each day in another way."""

    draw: np.random.Generator
    fruit_sd: float = HAND_SD
    day_sd: float = HAND_OF_DAY_SD
    nose_sd: float = NOSE_SD
    off: float = 0.0

    def new_day(self) -> None:
        """Another day, another bias."""
        self.off = float(self.draw.normal(0.0, self.day_sd))

    def firmness_n(self, fruit: Fruit) -> Floats:
        """What each fruit seems to be (N)."""
        error = self.draw.normal(self.off, self.fruit_sd, fruit.stage.size)
        return np.asarray(firmness_n(fruit.stage) * np.exp(error))

    def feels(self, fruit: Fruit) -> tuple[int, int, int, int, int]:
        """How many fruit of each feel, from hard to too soft."""
        seems = self.firmness_n(fruit)
        feel = np.searchsorted(-np.array(FEEL_EDGES_N), -seems, side="right")
        a, b, c, d, e = np.bincount(feel, minlength=5).tolist()
        return a, b, c, d, e

    def sorts(self, fruit: Fruit, days: float) -> tuple[Flags, Flags]:
        """Which fruit seem fit for buyers who eat within so many days, and which seem past."""
        seems = self.firmness_n(fruit)
        smells = fruit.lives + self.draw.normal(0.0, self.nose_sd, seems.size) >= 1.0
        past = (seems < TOO_SOFT_N) | (smells & (fruit.lives > 0.0))
        return np.asarray((stage_at(seems) >= READY_STAGE - days) & ~past), np.asarray(past)

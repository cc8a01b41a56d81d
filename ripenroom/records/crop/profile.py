"""A crop profile: every figure with its range and its source.

All figures are kept in the units named in the attribute (newtons, degrees Celsius, days, grams),
whatever unit the profile file was written in.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure comes from. ``seen`` is False for what was written down from memory."""

    key: str
    citation: str
    seen: bool = True


@dataclass(frozen=True, slots=True)
class Figure:
    """A value with the range that holds about 80 % of what is plausible for one farm.

    ``source`` is a key into the profile's sources, or ``"estimate"``; an estimate says how it was
    reached in ``note``.
    """

    value: float
    low: float
    high: float
    source: str
    note: str = ""

    @property
    def is_estimate(self) -> bool:
        """Whether the figure is our own reasoning rather than a published one."""
        return self.source == "estimate"


@dataclass(frozen=True, slots=True)
class DaysAt:
    """At ``temperature_c`` something lasts ``days`` (a :class:`Figure` in days)."""

    temperature_c: float
    days: Figure


@dataclass(frozen=True, slots=True)
class Firmness:
    """Firmness marks in newtons, as a flat probe of ``probe_mm`` reads them.

    ``highest_n`` and ``lowest_n`` are the asymptotes of the softening curve. Fruit is ready from
    ``ready_n`` down to ``too_soft_n``, and past below that.
    """

    probe_mm: float
    highest_n: Figure
    lowest_n: Figure
    at_maturity_n: Figure
    ready_n: Figure
    too_soft_n: Figure
    reading_error_n: Figure


@dataclass(frozen=True, slots=True)
class Feel:
    """Hand feel as intervals of firmness: each figure is the firmness below which a fruit feels so.

    Above ``slight_give_n`` it is hard. ``judgement_age`` is the standard deviation, in
    physiological age, by which one person's hand is off for a whole sample.
    """

    slight_give_n: Figure
    gives_n: Figure
    soft_n: Figure
    too_soft_n: Figure
    judgement_age: Figure


@dataclass(frozen=True, slots=True)
class Rate:
    """How fast physiological age advances, and how temperature changes that.

    ``per_day`` at ``reference_c``; ``activation_kj_mol`` is the Arrhenius slope. The rate falls to
    half of the Arrhenius line at ``heat_midpoint_c`` with energy ``heat_kj_mol`` (both or neither).
    """

    reference_c: float
    per_day: Figure
    activation_kj_mol: Figure
    heat_midpoint_c: Figure | None = None
    heat_kj_mol: Figure | None = None


@dataclass(frozen=True, slots=True)
class WontRipen:
    """Share of fruit that never ripens indoors, a logistic of firmness at pick.

    At ``half_n`` newtons half of the fruit fails; ``width_n`` is the logistic's scale.
    """

    half_n: Figure
    width_n: Figure


@dataclass(frozen=True, slots=True)
class RipeLife:
    """How long a fruit stays good once ready: ``days`` at ``reference_c``, with its own ``q10``."""

    reference_c: float
    days: Figure
    q10: Figure


@dataclass(frozen=True, slots=True)
class Chilling:
    """Below ``threshold_c`` fruit is injured after the times in ``allowance`` (coldest first)."""

    threshold_c: Figure
    allowance: tuple[DaysAt, ...]


@dataclass(frozen=True, slots=True)
class Storage:
    """Where firm fruit keeps best, and its longest useful storage at each temperature."""

    best_low_c: float
    best_high_c: float
    humidity_pct: Figure
    life: tuple[DaysAt, ...]


@dataclass(frozen=True, slots=True)
class CropProfile:
    """One crop. ``letter`` begins its batch codes; ``key`` names it in files."""

    key: str
    name: str
    letter: str
    groups: tuple[str, ...]
    firmness: Firmness
    feel: Feel
    rate: Rate
    fruit_spread_age: Figure
    wont_ripen: WontRipen
    storage: Storage
    fruit_mass_g: Figure
    fruit_per_crate: Figure
    sources: Mapping[str, Source]
    ripe_life: RipeLife | None = None
    chilling: Chilling | None = None
    cautions: tuple[str, ...] = ()

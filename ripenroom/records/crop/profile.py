"""A crop profile: every figure with its range and its source.

All figures are kept in the units named in the attribute (newtons, degrees Celsius, days, grams),
whatever unit the profile file was written in.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure comes from. ``seen`` is False for what was written down from memory."""

    key: str
    citation: str
    seen: bool = True


@dataclass(frozen=True, slots=True)
class Figure:
    """A value with the range that holds about 80 % of what is plausible for one farm.

    ``source`` is a key into the profile's sources; or ``"inferred"``, from all statements that are
    published about the crop; or ``"estimate"``, set by hand, with the reason in ``note``.
    """

    value: float
    low: float
    high: float
    source: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class DaysAt:
    """At ``temperature_c`` something lasts ``days`` (a :class:`Figure` in days)."""

    temperature_c: float
    days: Figure


@dataclass(frozen=True, slots=True)
class Firmness:
    """Marks along the softening curve: newtons, as a flat probe of ``probe_mm`` reads them.

    ``highest_n`` and ``lowest_n`` are the asymptotes of the curve. Fruit is ready from ``ready_n``
    down to ``too_soft_n``, and past below that; where ``ready_n`` is not below ``at_maturity_n`` it
    is eaten as picked. For a crop judged by colour the same curve is that of its green surface, the
    marks are in percent of it, and there is no probe.
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
    physiological age, by which one person's hand (or eye) is off for a whole sample. ``names`` are
    what the five feels are called where they are looks instead; empty for the plain feels.
    """

    slight_give_n: Figure
    gives_n: Figure
    soft_n: Figure
    too_soft_n: Figure
    judgement_age: Figure
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SpeedAt:
    """At ``temperature_c`` physiological age advances by ``per_day``."""

    temperature_c: float
    per_day: Figure


@dataclass(frozen=True, slots=True)
class Rate:
    """How fast physiological age advances, and how temperature changes that.

    ``per_day`` at ``reference_c``. Either ``activation_kj_mol`` is the Arrhenius slope, and the
    rate falls to half of the Arrhenius line at ``heat_midpoint_c`` with energy ``heat_kj_mol``
    (both or neither); or ``by_temperature`` holds the speeds themselves, increasing in temperature,
    for crops whose literature is not Arrhenius.
    """

    reference_c: float
    per_day: Figure
    activation_kj_mol: Figure | None = None
    heat_midpoint_c: Figure | None = None
    heat_kj_mol: Figure | None = None
    by_temperature: tuple[SpeedAt, ...] = ()


@dataclass(frozen=True, slots=True)
class Gate:
    """What has to happen before a crop ripens at full speed, such as a winter pear's cold.

    ``needs`` says how long it takes at each temperature (coldest first); warmer than
    ``none_above_c`` nothing is gained. While the gate is shut the fruit ages at ``meanwhile`` of
    its full speed. ``ethylene_days`` of treatment open
    all of it instead, and part of them a part.

    ``per_age`` says what a riper pick saves: by how many times the need of fruit is that of fruit
    one physiological age less ripe (0.5: half). ``needs`` are those of fruit at its usual maturity,
    and fruit picked ``d`` ages beyond needs ``per_age ** d`` times as much. ``width`` says how
    gradually full speed is freed: where ``s`` times the need is met, the Normal probability of
    ``ln(s) / width`` of it is, so two thirds of the way lie between 1 - width and 1 + width of the
    need or so. Without it the gate opens at once.
    """

    name: str
    needs: tuple[DaysAt, ...]
    none_above_c: float
    meanwhile: Figure
    ethylene_days: Figure | None = None
    per_age: Figure | None = None
    width: Figure | None = None


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


USUAL_FREEZING_C = -0.5
"""Freezing point of a crop for which none was found: that of the most watery (tomatoes, Cargo
Handbook)."""


@dataclass(frozen=True, slots=True)
class Storage:
    """Where firm fruit keeps best, and its longest useful storage at each temperature.

    ``freezing_c`` is the highest temperature at which it freezes, None where none was found.
    """

    best_low_c: float
    best_high_c: float
    humidity_pct: Figure
    life: tuple[DaysAt, ...]
    freezing_c: Figure | None = None

    @property
    def freezes_at_c(self) -> float:
        """Temperature (C) at which the fruit is taken to freeze."""
        return USUAL_FREEZING_C if self.freezing_c is None else self.freezing_c.value


@dataclass(frozen=True, slots=True)
class Ripening:
    """Where fruit ripens best, the warmth from which it is spoilt, and that at which it stops.

    ``source`` as in figures. ``days`` to ripe at each temperature are all that is published for
    some crops.
    """

    low_c: float | None = None
    high_c: float | None = None
    limit_c: float | None = None
    stop_c: float | None = None
    source: str = ""
    days: tuple[DaysAt, ...] = ()


@dataclass(frozen=True, slots=True)
class RespirationAt:
    """At ``temperature_c`` a kilogram gives off ``mg_kg_h`` milligrams of CO2 an hour."""

    temperature_c: float
    mg_kg_h: Figure


@dataclass(frozen=True, slots=True)
class Ethylene:
    """How much ethylene a crop makes and heeds, in the trade's classes, and the usual dose."""

    produces: str
    responds: str
    source: str
    dose_ppm: Figure | None = None
    hours: Figure | None = None


@dataclass(frozen=True, slots=True)
class LeftOutSources:
    """How far off the profile is from sources that it does not know: each was left out once.

    Of ``statements`` from ``sources``, half are met within ``median_pct`` and nine of ten within
    ``tenth_pct`` percent of the middle of what is published; ``in_range`` of them lie in the 80 %
    range that the program gives.
    """

    sources: int
    statements: int
    median_pct: float
    tenth_pct: float
    worst_pct: float
    in_range: int


JudgedBy = Literal["firmness", "colour", "nothing"]
"""How one tells how ripe a fruit is; of a crop judged by nothing only dates are published."""


@dataclass(frozen=True, slots=True)
class CropProfile:
    """One crop. ``letter`` begins its batch codes; ``key`` names it in files.

    Where a crop is judged by nothing, its marks, feels, rate and spread are derived from the
    published days to ripe (see :mod:`ripenroom.records.crop.derived`) and mean nothing else.
    ``buyers_eat_within`` is how many days buyers at a market wait for it to be ready.
    ``of_groups`` holds the whole profile of each cultivar group that has figures of its own: the
    batches of cultivars in it go by that.
    """

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
    judged_by: JudgedBy = "firmness"
    about: str = ""
    gate: Gate | None = None
    ripening: Ripening | None = None
    respiration: tuple[RespirationAt, ...] = ()
    ethylene: Ethylene | None = None
    package: str = ""
    package_source: str = ""
    left_out: LeftOutSources | None = None
    buyers_eat_within: Figure | None = None
    of_groups: Mapping[str, "CropProfile"] = field(default_factory=lambda: MappingProxyType({}))

    def of_group(self, name: str | None) -> "CropProfile":
        """The profile of a cultivar group; the crop's own where that has no figures, or None."""
        return self if name is None else self.of_groups.get(name, self)

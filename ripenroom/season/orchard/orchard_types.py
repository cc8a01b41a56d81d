"""What is known and expected of the rows of trees: what pages, papers, tables and plan are told."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from ripenroom.records.check import TreeLesson
from ripenroom.records.market import Feel
from ripenroom.records.orchard import Row, Walk
from ripenroom.science.orchard.heat import MANY_HOURS
from ripenroom.season.fruit_balance import FruitTally
from ripenroom.season.orchard.priors import WALK_COSTS_FRUIT

Z_80 = 1.2816
"""Standard deviations to either side that hold 80 % of a normal distribution."""


@dataclass(frozen=True, slots=True)
class FruitRange:
    """How many fruit: the mean, and an 80 % range around it."""

    low: float
    mid: float
    high: float

    def __add__(self, other: "FruitRange") -> "FruitRange":
        """Both, if they are off together."""
        return FruitRange(self.low + other.low, self.mid + other.mid, self.high + other.high)

    def __mul__(self, part: float) -> "FruitRange":
        """The range of so large a ``part`` of the fruit."""
        return FruitRange(self.low * part, self.mid * part, self.high * part)


NO_FRUIT = FruitRange(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class CountedFruit:
    """Fruit on the trees of a row when it was counted: the middle, and how sure it is as the
    standard deviation of its natural logarithm."""

    fruit: float
    log_sd: float

    @property
    def range(self) -> FruitRange:
        """The middle with its 80 % range."""
        factor = math.exp(Z_80 * self.log_sd)
        return FruitRange(self.fruit / factor, self.fruit, self.fruit * factor)


@dataclass(frozen=True, slots=True)
class RowFacts:
    """A row and what is written down of it; ``walks`` are in their order, latest last.

    ``tally`` is what was picked of it and became of that; ``on_ground`` all fruit that walks found
    fallen.
    """

    row: Row
    crop: str | None
    counted: CountedFruit | None
    tally: FruitTally
    on_ground: int
    walks: tuple[Walk, ...]


BloomSource = Literal["noted", "cultivar", "crop", "spring", "walk", "season"]


@dataclass(frozen=True, slots=True)
class Bloom:
    """When a row bloomed, how sure that is (the standard deviation in days), and what it goes
    ``by``: the day that was noted, other rows of its cultivar or its crop, the warmth of spring,
    its first walk or pick, or the season's first day."""

    on: date
    sd_days: float
    by: BloomSource


@dataclass(frozen=True, slots=True)
class Spring:
    """What spring's warmth says of a row: when its first pick is to be expected, as a published
    line of its cultivar has it, and the growing degree hours of the 30 days after its bloom."""

    first_pick: date | None
    growing_hours: float | None

    @property
    def is_warm(self) -> bool:
        """Whether so many hours bring an early harvest of small fruit."""
        return self.growing_hours is not None and self.growing_hours > MANY_HOURS


@dataclass(frozen=True, slots=True)
class SeasonRows:
    """The rows of a season called ``name``, of each by its id the first and the last day on which
    it was picked, and ``lessons`` that its walks and picks taught for others."""

    name: str
    facts: tuple[RowFacts, ...]
    picked: Mapping[str, tuple[date, date]]
    lessons: tuple[TreeLesson, ...] = ()


@dataclass(frozen=True, slots=True)
class FeelAdvice:
    """Fruit of one feel: the share that comes good if picked ``now``, or a day ``later``, and the
    share ``lost`` by waiting that day, too soft or fallen."""

    feel: Feel
    now: float
    later: float
    lost: float


@dataclass(frozen=True, slots=True)
class RowForecast:
    """What is expected of one row; ``days`` begin with today.

    ``hanging`` is all that is on its trees now. Of each day ``ready`` are fruit that give and are
    not too soft, and ``lost`` those that got too soft or have fallen since today, if nobody picks
    before; ``picks`` are what is found if the row is picked over on that day and on every other day
    in between that it is worth it, and ``picked_by`` all of these from today until then. A walk is
    worth its time every ``walk_every_days``, inf where it never is. ``frost_reaches`` is what still
    hangs when the first frost comes. ``by_heat`` is whether its clock counts degree days,
    ``by_months`` whether most of these are those that its months usually have, and ``walks`` how
    many there were. ``bloom`` is the day that it is counted from; ``bloom_is_odd`` says that what
    was seen since hardly fits it. ``spring`` is what is published of its crop's spring, if
    anything.
    """

    row_id: str
    days: tuple[date, ...]
    hanging: FruitRange
    ready: tuple[FruitRange, ...]
    picks: tuple[FruitRange, ...]
    picked_by: tuple[FruitRange, ...]
    lost: tuple[FruitRange, ...]
    walk_every_days: float
    frost_reaches: FruitRange
    by_feel: tuple[FeelAdvice, ...]
    by_heat: bool
    walks: int
    bloom: Bloom
    bloom_is_odd: bool = False
    spring: Spring | None = None
    by_months: bool = False

    def by(self, day: date) -> FruitRange:
        """All that is there to be picked from today until a day, that day's pick among it."""
        return _until(self.picked_by, day, self.days[0])

    @property
    def walk_on(self) -> date | None:
        """The first day on which a walk is worth its time: by the next one, if nobody had come
        before, as much would be lost as a walk costs. None if that is none of the days."""
        for on, lost in zip(self.days, self.lost[1:], strict=False):
            if lost.mid >= WALK_COSTS_FRUIT:
                return on
        return None


@dataclass(frozen=True, slots=True)
class CultivarPicks:
    """What all rows of a cultivar give from today until each of the days that are told, if each is
    picked over as its :class:`RowForecast` has it. Rows are off together as far as it is the
    cultivar that is not known, so that this is surer than their ranges added up."""

    cultivar_id: str
    picked_by: tuple[FruitRange, ...]

    def by(self, day: date, today: date) -> FruitRange:
        """All that is there to be picked from today until a day, that day's picks among it."""
        return _until(self.picked_by, day, today)


def _until(every: tuple[FruitRange, ...], day: date, today: date) -> FruitRange:
    """What ``every`` day, today first, says of a day; of one beyond, what the last says."""
    ahead = (day - today).days
    return NO_FRUIT if ahead < 0 else every[min(ahead, len(every) - 1)]


@dataclass(frozen=True, slots=True)
class FrostNight:
    """A night that brought frost, and its lowest temperature (C)."""

    on: date
    min_c: float


@dataclass(frozen=True, slots=True)
class FrostForecast:
    """The first frost: the ``chance`` that it comes on each of the ``days``, today first.

    ``even_on`` and ``tenth_on`` are the days by which it comes with even odds and with one chance
    in ten, forecast nights included; None where they lie beyond. ``may_have_come`` is the chance
    that it has come since anything was last known, and ``dated`` whether the grower's dates are
    known. ``nights`` are those of frost so far, and ``left`` the share of fruit that they leave on
    the trees by each day, where nobody saw otherwise.
    """

    days: tuple[date, ...]
    chance: tuple[float, ...]
    tenth_on: date | None
    even_on: date | None
    nights: tuple[FrostNight, ...] = ()
    left: tuple[float, ...] = ()
    may_have_come: float = 0.0
    dated: bool = True

    @property
    def came_on(self) -> date | None:
        """The day on which the first frost came."""
        return self.nights[0].on if self.nights else None

    def by(self, day: date) -> float:
        """Chance that it comes by the end of a day."""
        return sum(c for on, c in zip(self.days, self.chance, strict=True) if on <= day)


@dataclass(frozen=True, slots=True)
class OrchardForecast:
    """All rows whose fruit is known, the row first that is most worth a walk today, and frost.

    ``cultivars`` are the same picks, all rows of a cultivar together. ``left_out`` are rows of
    which nothing can be said, and why: no fruit counted, no cultivar.
    """

    on: date
    rows: tuple[RowForecast, ...]
    frost: FrostForecast | None
    left_out: tuple[tuple[str, Literal["no fruit counted", "no crop"]], ...] = ()
    cultivars: tuple[CultivarPicks, ...] = ()

    def of_row(self, row_id: str) -> RowForecast | None:
        """What is expected of a row."""
        return next((row for row in self.rows if row.row_id == row_id), None)

"""The orchard: crops of the farm's own, cultivars, rows of their trees, walks along these, weather.

Weather is each day's coldest and warmest, what is usual, and when frost comes.
"""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ripenroom.records.batch import FeelCounts
from ripenroom.records.limits import (
    BranchCounts,
    BranchesPerTree,
    CropKey,
    FirstFrosts,
    FoundFruit,
    FrostC,
    FruitDoubt,
    FruitMassG,
    FruitOnTrees,
    Id,
    Moment,
    MonthNumber,
    Name,
    Note,
    OutdoorC,
    PlantedYear,
    ProfileText,
    RateFactor,
    Trees,
)

RipeningGroup = Literal["early", "mid", "late"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cultivar:
    """A cultivar, or a group of look-alike trees, as this farm names it; ``crop`` is a profile.

    ``group`` says when it ripens on this farm. ``crop_group`` names the group of its crop's profile
    whose figures its fruit go by; a name that the profile does not know counts as none.
    ``rate_factor`` is how many times as fast as these figures it softens.
    """

    id: Id
    crop: CropKey
    name: Name
    group: RipeningGroup | None = None
    rate_factor: RateFactor = 1.0
    crop_group: Name | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of trees; ``trees`` is how many stand in it, planted in ``planted_year``.

    How much hangs on all of them is known by ``fruit_on_trees``, or by ``branch_counts`` (fruit on
    each of some branches) and ``branches_per_tree``. It was counted on ``counted_on``; None is
    before the season's first pick. Four times in five the true number is no more than
    1 + ``fruit_doubt`` times as large or as small. ``fruit_mass_g`` (grams) is what one fruit
    weighs on average. ``bloomed_on`` is the day of full bloom.
    """

    id: Id
    name: Name
    cultivar_id: Id | None = None
    trees: Trees | None = None
    planted_year: PlantedYear | None = None
    bloomed_on: date | None = None
    fruit_on_trees: FruitOnTrees | None = None
    branch_counts: BranchCounts = ()
    branches_per_tree: BranchesPerTree | None = None
    counted_on: date | None = None
    fruit_doubt: FruitDoubt = 0.3
    fruit_mass_g: FruitMassG | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """What was felt on the trees of a row at ``at`` (UTC); nothing was picked.

    ``feel_counts`` are fruit of each feel, taken as they came. ``on_ground`` are fruit that have
    fallen since the walk before; None where nobody looked.
    """

    id: Id
    row_id: Id
    at: Moment
    feel_counts: FeelCounts | None = None
    on_ground: FoundFruit | None = None
    note: Note = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCrop:
    """A crop profile as TOML ``text``; ``key`` is the profile's own key.

    It stands in for a shipped profile of the same key, or adds a crop.
    """

    id: Id
    key: CropKey
    text: ProfileText


WeatherSource = Literal["read", "typed", "filled", "forecast"]


def weather_id(on: date) -> str:
    """The id of a day's weather: two copies of a season that know the day know the same record."""
    return f"weather-{on.isoformat()}"


def normal_id(month: int) -> str:
    """The id of what is usual in a month."""
    return f"month-{month:02}"


FROST_ID = "frost"
"""The id of a season's only frost dates."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWeather:
    """The coldest and warmest air of a day (C, from midnight to midnight at home).

    ``source`` says whether it was ``read`` from a file, ``typed``, ``filled`` in between days that
    were read, or is a ``forecast``, which may leave open how warm the day gets.
    """

    id: Id
    on: date
    min_c: OutdoorC
    max_c: OutdoorC | None = None
    source: WeatherSource = "typed"


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthlyNormal:
    """The mean coldest and mean warmest (C) of the days of a month, 1 being January."""

    id: Id
    month: MonthNumber
    min_c: OutdoorC
    max_c: OutdoorC


@dataclass(frozen=True, slots=True, kw_only=True)
class FrostDates:
    """When the first frost of autumn comes: air of ``frost_c`` (C) or colder.

    Known by two days: by ``tenth_on`` it has come in one year of ten, by ``even_on`` in half of
    them. Or by the days on which it came in past years, ``first_frosts``.
    """

    id: Id
    tenth_on: date | None = None
    even_on: date | None = None
    first_frosts: FirstFrosts = ()
    frost_c: FrostC = 0.0

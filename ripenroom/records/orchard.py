"""What grows: crops of the farm's own, cultivars, rows of their trees, and walks along these."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ripenroom.records.batch import FeelCounts
from ripenroom.records.limits import (
    BranchCounts,
    BranchesPerTree,
    CropKey,
    FoundFruit,
    FruitDoubt,
    FruitMassG,
    FruitOnTrees,
    Id,
    Moment,
    Name,
    Note,
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

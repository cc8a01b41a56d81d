"""What grows: cultivars, and the rows of trees they stand in."""

from dataclasses import dataclass
from typing import Literal

from ripenroom.records.limits import CropKey, Id, Name, RateFactor, Trees

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
    """A row of trees; ``trees`` is how many stand in it."""

    id: Id
    name: Name
    cultivar_id: Id | None = None
    trees: Trees | None = None

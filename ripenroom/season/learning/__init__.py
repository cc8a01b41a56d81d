"""Learning from checks: what was squeezed again says how fast this farm's fruit softens."""

from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.honesty_found import Honesty, HonestyRow, Outcome
from ripenroom.season.learning.learned import (
    CheckFit,
    CheckKind,
    Estimate,
    Learned,
    LearnedBatch,
    LearnedRate,
)

__all__ = [
    "CheckFit",
    "CheckKind",
    "Estimate",
    "Honesty",
    "HonestyRow",
    "Learned",
    "LearnedBatch",
    "LearnedRate",
    "Outcome",
    "fit",
]

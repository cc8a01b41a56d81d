"""Learning from checks: what was squeezed again says how fast this farm's fruit softens."""

from ripenroom.season.learned import (
    CheckFit,
    CheckKind,
    Estimate,
    Learned,
    LearnedBatch,
    LearnedRate,
)
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.honesty import honesty
from ripenroom.season.learning.honesty_found import Honesty, HonestyRow, Outcome
from ripenroom.season.learning.lessons import lessons_from

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
    "honesty",
    "lessons_from",
]

"""Learning from checks: what was squeezed again says how fast this farm's fruit softens."""

from ripenroom.season.learned import (
    CheckFit,
    CheckKind,
    Estimate,
    Learned,
    LearnedBatch,
    LearnedRate,
)
from ripenroom.season.learning.calibration import (
    Calibration,
    CheckedForecast,
    ForecastKind,
    calibration,
)
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.lessons import lessons_from

__all__ = [
    "Calibration",
    "CheckFit",
    "CheckKind",
    "CheckedForecast",
    "Estimate",
    "ForecastKind",
    "Learned",
    "LearnedBatch",
    "LearnedRate",
    "calibration",
    "fit",
    "lessons_from",
]

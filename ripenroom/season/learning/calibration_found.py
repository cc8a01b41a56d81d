"""How forecasts turned out, ready to be worded by the window."""

from dataclasses import dataclass
from enum import StrEnum

from ripenroom.science.spread import IN_RANGE, TAIL_80, chance_sd
from ripenroom.season.learned import Estimate

RANGE_Z = TAIL_80
"""The ``z`` at both ends of a forecast's range."""


class ForecastKind(StrEnum):
    """What a forecast is held to."""

    FEEL = "feel"
    READINGS = "readings"
    MARKET = "market"


@dataclass(frozen=True, slots=True)
class CheckedForecast:
    """One forecast and what was found.

    Made from all that was written down before the day of ``at_h`` (h); ``known_checks`` checks of
    its crop had been counted by then. For hand feel the share of the fruit that felt ``from_feel``
    or softer, for readings the mean firmness (N), for a market the share of the fruit brought that
    was not past. ``early_days`` is how many days ahead of the forecast the fruit was (negative:
    behind), at the warmth it was kept in; nan for markets.
    """

    outcome: ForecastKind
    source_id: str  # of the check, or of the market day
    batch_id: str
    at_h: float
    known_checks: int
    from_feel: int | None
    expected: Estimate
    observed: float
    inside: bool
    z: float
    early_days: float


class Width(StrEnum):
    """How wide ranges are, by how often they held."""

    UNKNOWN = "unknown"
    RIGHT = "right"
    TOO_NARROW = "too narrow"
    TOO_WIDE = "too wide"


_FEW_FORECASTS = 8
"""Of fewer, how often ranges held is mostly luck."""

_MORE_THAN_LUCK = 2.0
"""So many sds of pure luck from 80 %, the ranges are too narrow or too wide."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """All forecasts that can be held to something, earliest first.

    ``inside`` is the share of them whose 80 % range held (nan without any), ``drift_days`` the
    middle of how many days fruit was ahead of its forecast, ``worst`` numbers the rows that missed
    by most.
    """

    rows: tuple[CheckedForecast, ...]
    inside: float
    drift_days: float
    worst: tuple[int, ...]

    @property
    def width(self) -> Width:
        """Whether the ranges held as often as ranges of 80 % should."""
        if len(self.rows) < _FEW_FORECASTS:
            return Width.UNKNOWN
        luck = _MORE_THAN_LUCK * chance_sd(IN_RANGE, len(self.rows))
        if self.inside < IN_RANGE - luck:
            return Width.TOO_NARROW
        return Width.TOO_WIDE if self.inside > IN_RANGE + luck else Width.RIGHT

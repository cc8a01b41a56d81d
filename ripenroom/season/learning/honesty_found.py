"""How forecasts turned out, ready to be worded by the window."""

from dataclasses import dataclass
from enum import StrEnum

from ripenroom.science.spread import TAIL_80
from ripenroom.season.learned import Estimate

RANGE_Z = TAIL_80
"""The ``z`` at both ends of a forecast's range."""


class Outcome(StrEnum):
    """What a forecast is held to."""

    FEEL = "feel"
    READINGS = "readings"
    MARKET = "market"


@dataclass(frozen=True, slots=True)
class HonestyRow:
    """One forecast and what was found.

    Made from all that was written down before the day of ``at_h`` (h); ``known_checks`` checks of
    its crop had been counted by then. For hand feel the share of the fruit that felt ``from_feel``
    or softer, for readings the mean firmness (N), for a market the share of the fruit brought that
    was not past. ``early_days`` is how many days ahead of the forecast the fruit was (negative:
    behind), at the warmth it was kept in; nan for markets.
    """

    outcome: Outcome
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


@dataclass(frozen=True, slots=True)
class Honesty:
    """All forecasts that can be held to something, earliest first.

    ``inside`` is the share of them whose 80 % range held (nan without any), ``drift_days`` the
    middle of how many days fruit was ahead of its forecast, ``worst`` numbers the rows that missed
    by most.
    """

    rows: tuple[HonestyRow, ...]
    inside: float
    drift_days: float
    worst: tuple[int, ...]

"""Spans of days that sources speak of, each worked out by carrying a crate of gauged fruit."""

from collections.abc import Sequence

import numpy as np

from ripenroom.science.softening import Floats
from ripenroom.units import newtons
from tests.outside.crate import FOR_GOOD, Outcome, Stay, follow, readings_around


def crate(crop: str, lbf: float, *stays: Stay, ethylene_h: float = 0.0) -> Outcome:
    """A crate of fruit around ``lbf`` pounds-force, through ``stays``."""
    readings_n = readings_around(newtons(lbf, "lbf"))
    return follow(crop, stays, readings_n=readings_n, ethylene_h=ethylene_h)


def days_to_ready(
    crop: str,
    lbf: float,
    celsius: float,
    before: Sequence[Stay] = (),
) -> float:
    """Days at ``celsius`` until half of the fruit is ready, counted from the end of ``before``."""
    outcome = crate(crop, lbf, *before, (celsius, FOR_GOOD))
    return outcome.opens.mid - sum(days for _, days in before)


def days_until_able(crop: str, lbf: float, celsius: float) -> float:
    """Days at ``celsius`` until the fruit has had the cold that it needs to ripen."""
    return crate(crop, lbf, (celsius, FOR_GOOD)).able_days


def firmness_after(
    crop: str,
    lbf: float,
    celsius: float,
    days: Sequence[float],
) -> Floats:
    """Firmness (N) of the middle fruit ``days`` after the pick."""
    outcome = follow(
        crop,
        [(celsius, FOR_GOOD)],
        readings_n=readings_around(newtons(lbf, "lbf")),
        asked_days=days,
    )
    return np.array(outcome.firmness_n)

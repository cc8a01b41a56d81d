"""Spans of days that sources speak of, worked out by carrying a crate of fruit sorted by colour."""

from collections.abc import Sequence

import numpy as np

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.library import shipped_profiles
from tests.outside.crate import FOR_GOOD, Outcome, Stay, follow

_LOOKED_AT_DAYS = np.linspace(0.0, 40.0, 801)


def crate(crop: str, look: str, *stays: Stay, asked_days: Sequence[float] = ()) -> Outcome:
    """A crate of fruit of one ``look``, a name of the crop's own, through ``stays``."""
    feel = FEELS[shipped_profiles()[crop].feel.names.index(look)]
    return follow(crop, stays, feel=feel, asked_days=asked_days)


def days_to_ready(crop: str, look: str, celsius: float) -> float:
    """Days at ``celsius`` until half of the fruit is ready."""
    return crate(crop, look, (celsius, FOR_GOOD)).opens.mid


def days_to_green(crop: str, look: str, green_pct: float, celsius: float) -> float:
    """Days at ``celsius`` until the middle fruit is green on no more than ``green_pct`` of it."""
    green = crate(crop, look, (celsius, FOR_GOOD), asked_days=_LOOKED_AT_DAYS.tolist()).firmness_n
    # np.interp wants what it looks up to rise, and green falls.
    return float(np.interp(green_pct, green[::-1], _LOOKED_AT_DAYS[::-1]))

"""Spans of days that sources speak of, each worked out by carrying a crate of gauged fruit."""

from collections.abc import Sequence

import numpy as np

from ripenroom.science.softening import Floats
from ripenroom.units import newtons
from tests.outside.crate import FOR_GOOD, Outcome, Stay, follow, readings_around

_LOOKED_AT_DAYS = np.linspace(0.0, 40.0, 801)


def crate(crop: str, lbf: float, *stays: Stay, ethylene_h: float = 0.0) -> Outcome:
    """A crate of fruit around ``lbf`` pounds-force, through ``stays``."""
    readings_n = readings_around(newtons(lbf, "lbf"))
    return follow(crop, stays, readings_n=readings_n, ethylene_h=ethylene_h)


def days_to_ready(
    crop: str,
    lbf: float,
    celsius: float,
    before: Sequence[Stay] = (),
    *,
    ethylene_h: float = 0.0,
) -> float:
    """Days at ``celsius`` until half of the fruit is ready, counted from the end of ``before`` and
    of the ethylene that it is given from the pick on."""
    outcome = crate(crop, lbf, *before, (celsius, FOR_GOOD), ethylene_h=ethylene_h)
    begun = max(sum(days for _, days in before), ethylene_h / 24.0)
    return outcome.opens.mid - begun


def days_kept(crop: str, lbf: float, celsius: float) -> float:
    """Days at ``celsius`` until the eat-by window closes, for whatever cause."""
    return crate(crop, lbf, (celsius, FOR_GOOD)).closes.mid


def days_until_able(crop: str, lbf: float, celsius: float) -> float:
    """Days at ``celsius`` until the fruit has had the cold that it needs to ripen."""
    return crate(crop, lbf, (celsius, FOR_GOOD)).able_days


def days_between(
    crop: str,
    from_lbf: float,
    to_lbf: float,
    celsius: float,
    *,
    start_lbf: float | None = None,
    before: Sequence[Stay] = (),
) -> float:
    """Days at ``celsius`` from one firmness to another, of the middle fruit.

    Fruit starts at ``start_lbf`` where it has to be carried through ``before`` first.
    """
    begun = sum(days for _, days in before)
    firmness_n = firmness_after(
        crop, start_lbf or from_lbf, celsius, begun + _LOOKED_AT_DAYS, before
    )
    # np.interp wants what it looks up to rise, and firmness falls.
    ends = [newtons(to_lbf, "lbf"), newtons(from_lbf, "lbf")]
    end, start = np.interp(ends, firmness_n[::-1], _LOOKED_AT_DAYS[::-1])
    return float(end - start)


def firmness_left_pct(
    crop: str, lbf: float, celsius: float, days: float, *, ethylene_h: float = 0.0
) -> float:
    """Firmness of the middle fruit after ``days`` at ``celsius``, in percent of the start.

    It is given ethylene for ``ethylene_h`` hours from the pick on.
    """
    start, end = firmness_after(crop, lbf, celsius, [0.0, days], ethylene_h=ethylene_h)
    return 100.0 * float(end / start)


def firmness_after(
    crop: str,
    lbf: float,
    celsius: float,
    days: Sequence[float] | Floats,
    before: Sequence[Stay] = (),
    *,
    ethylene_h: float = 0.0,
) -> Floats:
    """Firmness (N) of the middle fruit ``days`` after the pick, from which on it is given ethylene
    for ``ethylene_h`` hours."""
    outcome = follow(
        crop,
        [*before, (celsius, FOR_GOOD)],
        readings_n=readings_around(newtons(lbf, "lbf")),
        asked_days=[float(day) for day in days],
        ethylene_h=ethylene_h,
    )
    return np.array(outcome.firmness_n)

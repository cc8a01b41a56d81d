"""Marks and rates of a crop of which only dates are published, so that one projection serves all.

Such a crop has no softening clock. Its physiological age is made up: fruit starts at
``_START_AGE``, is ready at 0, and ages evenly in between over the published days. Nothing but the
dates that follow is claimed, and their ranges are those of the published days.
"""

import math
from dataclasses import replace

from ripenroom.records.crop.profile import (
    DaysAt,
    Feel,
    Figure,
    Firmness,
    Rate,
    SpeedAt,
    WontRipen,
)

_START_AGE = 4.0
"""Age between picking and ready; only its ratio to the speed matters."""

_BEST_AGE = 1.0
"""Age at which fruit eaten as picked starts: half-way between ready and past, which it nears so
slowly that its storage life ends it long before."""

_REFERENCE_C = 20.0
_EATEN_AS_PICKED_PER_DAY = 0.001
_NOTE = "Made up from the published days, to carry the dates and nothing else."


def _made_up(value: float) -> Figure:
    return Figure(value, value, value, "estimate", _NOTE)


def derived_firmness(ripens: bool) -> Firmness:
    """Marks on a scale from 100 (just picked) to 0; fruit eaten as picked starts at its best."""
    start_age = -_START_AGE if ripens else _BEST_AGE
    return Firmness(
        probe_mm=8.0,
        highest_n=_made_up(100.0),
        lowest_n=_made_up(0.001),
        at_maturity_n=_made_up(_share(start_age)),
        ready_n=_made_up(50.0),
        too_soft_n=_made_up(0.01 if ripens else _share(2.0 * _BEST_AGE)),
        reading_error_n=_made_up(1.0),
    )


def _share(age: float) -> float:
    return 100.0 / (1.0 + math.exp(age))


def derived_feel() -> Feel:
    """Intervals that nobody is asked about."""
    return Feel(
        slight_give_n=_made_up(90.0),
        gives_n=_made_up(70.0),
        soft_n=_made_up(40.0),
        too_soft_n=_made_up(0.01),
        judgement_age=_made_up(0.01),
    )


def derived_rate(days: tuple[DaysAt, ...]) -> Rate:
    """Speeds at which fruit is ready after the published ``days`` at each temperature."""
    if not days:
        still = _made_up(_EATEN_AS_PICKED_PER_DAY)
        return Rate(_REFERENCE_C, still, by_temperature=(SpeedAt(_REFERENCE_C, still),))
    speeds = tuple(SpeedAt(at.temperature_c, _speed(at.days)) for at in days)
    middle = speeds[len(speeds) // 2]
    return Rate(middle.temperature_c, middle.per_day, by_temperature=speeds)


def _speed(days: Figure) -> Figure:
    return replace(
        days,
        value=_START_AGE / days.value,
        low=_START_AGE / days.high,
        high=_START_AGE / days.low,
        note=_NOTE,
    )


def derived_spread() -> Figure:
    """How much fruit of one pick differ: a tenth of the way to ready."""
    return _made_up(_START_AGE / 10.0)


def derived_wont_ripen() -> WontRipen:
    """All of it ripens, as far as is published."""
    return WontRipen(half_n=_made_up(1000.0), width_n=_made_up(1.0))

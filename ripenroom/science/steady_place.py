"""How long things take in a place of one constant temperature, all of the time.

The same equations as along a journey, where each clock runs evenly: for curves by temperature.
"""

from collections.abc import Sequence

import numpy as np

from ripenroom.science.allowance import Allowance
from ripenroom.science.gate import days_at_full_speed, days_that_count, part_needs
from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.science.spread import TAIL_80, advance_at_quantile


def days_until_used(allowance: Allowance, celsius: Floats) -> Floats:
    """Days until an allowance is used up (or a need met) at each temperature (C); nan for never."""
    with np.errstate(divide="ignore"):
        days = 1.0 / allowance.use_per_day(celsius)
    return np.where(np.isfinite(days), days, np.nan)


def advance_until(
    age: float, mean_age: Floats, doubt_sd: Floats, rate_sd: Floats
) -> tuple[Floats, Floats, Floats]:
    """Age that fruit of ``mean_age``, known to within ``doubt_sd``, has to gain until half of it
    has come to an ``age``: low end of the 80 % range, middle and high end. ``rate_sd`` is the sd of
    the log of its rate; shapes broadcast."""
    sooner, later = (
        advance_at_quantile(z, age, mean_age, doubt_sd, rate_sd) for z in (TAIL_80, -TAIL_80)
    )
    return sooner, np.maximum(age - mean_age, 0.0), later


def days_behind_gate(days: Floats, need_days: Floats, width: float, meanwhile: float) -> Floats:
    """Days that ``days`` at full speed take behind a gate whose need takes ``need_days`` (nan:
    never met), any shape. The same as :class:`ripenroom.science.gate.GatedAgeing` there."""
    return days_at_full_speed(days, _openings(need_days, width), np.array(meanwhile))


def days_counted(days: Floats, need_days: Floats, width: float, meanwhile: float) -> Floats:
    """Of ``days`` in the place those at full speed that count behind such a gate."""
    return days_that_count(days, _openings(need_days, width), np.array(meanwhile))


def _openings(need_days: Floats, width: float) -> list[Floats]:
    """Days after which each part of a gate opens."""
    opens = np.where(np.isnan(need_days), np.inf, need_days)
    return [times * opens for times in part_needs(width)]


def straight_in_log(celsius: Floats, at_c: Sequence[float], values: FloatsLike) -> Floats:
    """Positive ``values`` published at some temperatures (C), with logs that run straight between
    them; nan outside."""
    logs = np.log(np.asarray(values, float))
    return np.asarray(np.exp(np.interp(celsius, at_c, logs, np.nan, np.nan)))

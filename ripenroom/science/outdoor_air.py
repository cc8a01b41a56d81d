"""Air outdoors through the day, and in a shed or a bin that follows it.

Of a day only its coldest and warmest are known. Air is taken to be coldest about sunrise and
warmest in mid-afternoon, and to run between them as half waves of a cosine: near enough to hourly
readings for rates that are summed over days (common practice; compare the two-sine day of Reicosky,
Winkelman, Baker and Baker 1989, Agricultural and Forest Meteorology 46:193-209, from memory).

Air indoors follows as ``dT/dt = (ln 2 / lag) (T_out - T)``: late, and with less of a swing.
"""

import math

import numpy as np

from ripenroom.science.recursion import first_order
from ripenroom.science.softening import Floats, FloatsLike

COLDEST_HOUR, WARMEST_HOUR = 6.0, 15.0
"""Local hours of the day's extremes (common practice, no source)."""

STEP_H = 0.5
"""Points of the curve are no farther apart."""

_DAY_H = 24.0


def through_the_days(
    midnight_h: FloatsLike, min_c: FloatsLike, max_c: FloatsLike
) -> tuple[Floats, Floats]:
    """Times (h) and temperatures (C) of consecutive days, each (days,), in half-hour steps.

    ``midnight_h`` is when each begins. From the first day's midnight to the last one's end; before
    the first and after the last extreme the air is that of the same hour in the nearest day.
    """
    starts = np.asarray(midnight_h, float)
    low, high = np.asarray(min_c, float), np.asarray(max_c, float)
    extreme_h = np.column_stack([starts + COLDEST_HOUR, starts + WARMEST_HOUR]).ravel()
    extreme_c = np.column_stack([low, high]).ravel()
    before = extreme_h[0] - (_DAY_H - WARMEST_HOUR + COLDEST_HOUR)
    after = extreme_h[-1] + (_DAY_H - WARMEST_HOUR + COLDEST_HOUR)
    extreme_h = np.concatenate([[before], extreme_h, [after]])
    extreme_c = np.concatenate([[high[0]], extreme_c, [low[-1]]])
    hours = np.arange(starts[0], starts[-1] + _DAY_H + STEP_H / 2.0, STEP_H)
    piece = np.clip(np.searchsorted(extreme_h, hours, side="right") - 1, 0, extreme_h.size - 2)
    done = (hours - extreme_h[piece]) / (extreme_h[piece + 1] - extreme_h[piece])
    gone = (1.0 - np.cos(np.pi * done)) / 2.0
    return hours, extreme_c[piece] + gone * (extreme_c[piece + 1] - extreme_c[piece])


def following(hours: Floats, outdoors_c: Floats, lag_h: float) -> Floats:
    """Air (C) that goes half of the way to the air outdoors in ``lag_h`` hours, at even steps.

    It begins with the mean of the first day, as if days before had been like it. Exact for air
    outdoors that runs straight between the times.
    """
    if lag_h <= 0.0:
        return outdoors_c
    step_h = float(hours[1] - hours[0])
    rate = math.log(2.0) / lag_h
    keep = math.exp(-rate * step_h)
    # The exact answer to a straight piece: part of its beginning and part of its end.
    of_end = 1.0 - (1.0 - keep) / (rate * step_h)
    of_begin = (1.0 - keep) - of_end
    day = outdoors_c[: round(_DAY_H / step_h)]
    driven = of_begin * outdoors_c[:-1] + of_end * outdoors_c[1:]
    began = float(day.mean())
    return first_order(np.full(driven.size, keep), driven, began)

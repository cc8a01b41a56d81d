"""Growing degree hours by the asymmetric curve that peach growers use.

Growth begins at 4 C, is fastest at 25 C and over at 36 C, along half a cosine up and a quarter of
one down; an hour at the best temperature counts 21 (Anderson, Richardson & Kesner 1986, Acta
Horticulturae 184:71-78; the formula from a published copy of it). The sum over the 30 days after
full bloom tells how long a stone fruit takes to harvest; much above 6,000 harvest is early and
fruit small (Lopez & DeJong 2007; University of California, Fruit & Nut Research and Information).
"""

from typing import Final

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike

BASE_C: Final = 4.0
OPTIMUM_C: Final = 25.0
CRITICAL_C: Final = 36.0

DAYS_AFTER_BLOOM: Final = 30
"""Days after full bloom whose growing degree hours foretell the harvest."""

MANY_HOURS: Final = 6000.0
"""Growing degree hours in these days above which harvest is early and fruit small."""

_PHASES = (np.arange(24) + 0.5) * (2.0 * np.pi / 24.0)


def growing_degree_hours(temperature_c: FloatsLike) -> Floats:
    """What one hour at this temperature (C) counts; the argument's shape.

    >>> round(float(growing_degree_hours(25.0)), 9)
    21.0
    """
    warm = np.asarray(temperature_c, float)
    most = OPTIMUM_C - BASE_C
    rising = 0.5 * most * (1.0 + np.cos(np.pi * (1.0 + (warm - BASE_C) / most)))
    part = (warm - OPTIMUM_C) / (CRITICAL_C - OPTIMUM_C)
    falling = most * (1.0 + np.cos(0.5 * np.pi * (1.0 + part)))
    hours = np.where(warm <= OPTIMUM_C, rising, falling)
    return np.where((warm <= BASE_C) | (warm >= CRITICAL_C), 0.0, hours)


def growing_degree_hours_of_days(lowest_c: FloatsLike, highest_c: FloatsLike) -> Floats:
    """What a day between these temperatures (C) counts, if they are the ends of a sine wave."""
    low = np.asarray(lowest_c, float)[..., None]
    high = np.asarray(highest_c, float)[..., None]
    hourly_c = (low + high) / 2.0 + (high - low) / 2.0 * np.sin(_PHASES)
    return np.asarray(growing_degree_hours(hourly_c).sum(axis=-1))

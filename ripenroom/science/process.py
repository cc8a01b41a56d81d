"""What goes on in fruit at a pace that the temperature of its pulp sets."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import Indices, RateOfTemperature
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class Process:
    """One process of a crop: softening, ripe life, chilling, ...

    ``rate_per_day`` is smooth, but from ``none_from_c`` (C) on it is 0: the threshold above which
    nothing is chilled.
    """

    rate_per_day: RateOfTemperature
    none_from_c: float = math.inf


def rates_of(processes: Sequence[Process], which: Indices, celsius: Floats) -> Floats:
    """Rates at ``celsius`` (n, k), line ``i`` by ``processes[which[i]]``.

    Loops over crops, never over lines.
    """
    rates = np.empty(celsius.shape)
    for number in np.unique(which):
        mine = which == number
        rates[mine] = processes[number].rate_per_day(celsius[mine])
    return rates

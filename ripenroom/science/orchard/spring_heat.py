"""When harvest begins, from the heat of spring: a line for each cultivar and place."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike

_F_PER_C: Final = 1.8


@dataclass(frozen=True, slots=True)
class HarvestLine:
    """Harvest begins on the day of the year ``at_no_heat``, ``earlier_per_degree_day`` days sooner
    for each degree day (C) above ``base_c`` from 1 January to ``until`` (month, day)."""

    at_no_heat: float
    earlier_per_degree_day: float
    base_c: float
    until: tuple[int, int]

    def first_day(self, degree_days: FloatsLike) -> Floats:
        """Day of the year, 1 being 1 January, with its fraction."""
        heat = np.asarray(degree_days, float)
        return np.asarray(self.at_no_heat - self.earlier_per_degree_day * heat)


RED_HAVEN: Final = HarvestLine(234.9, 0.0386 * _F_PER_C, 10.0, (6, 3))
"""Peach, Berrien County, records from 1995 on; observed often 3 to 5 days off it (Michigan State
University Extension, 2010 Redhaven peach harvest date prediction)."""

RED_HAVEN_2006: Final = HarvestLine(236.78, 0.0428 * _F_PER_C, 10.0, (6, 3))
"""The same as it was first published (Michigan State University Extension, Predicting Red Haven
harvest date)."""

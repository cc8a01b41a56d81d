"""Allowances that cold uses up: chilling injury, and the longest useful storage.

Published tables say how long fruit may stay at a temperature. A day at temperature T uses up the
share ``1 / L(T)`` of the allowance, and shares add up over a journey (the usual rule for
accumulating damage; common practice, no source). Between published temperatures ``ln L`` runs
straight.
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike


@dataclass(frozen=True, slots=True)
class Allowance:
    """Days ``days`` allowed at increasing ``temperature_c`` (C); colder than the first, its days.

    At or above ``none_from_c`` nothing is used up.
    """

    temperature_c: tuple[float, ...]
    days: tuple[float, ...]
    none_from_c: float

    def use_per_day(self, celsius: FloatsLike) -> Floats:
        """Share of the allowance that a day at each temperature (C) uses up."""
        at = np.asarray(celsius, float)
        log_days = np.interp(at, self.temperature_c, np.log(self.days))
        return np.where(at < self.none_from_c, np.exp(-log_days), 0.0)

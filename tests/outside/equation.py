"""The differential equation whose solution the program uses, to be solved here step by step."""

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike


def softening_rate_n_per_day(
    firmness_n: FloatsLike, rate_per_day: FloatsLike, highest_n: FloatsLike, lowest_n: FloatsLike
) -> Floats:
    """dF/dt (N/day) of the autocatalytic equation, for a rate in age per day."""
    firmness = np.asarray(firmness_n, float)
    high, low = np.asarray(highest_n, float), np.asarray(lowest_n, float)
    return np.asarray(
        -np.asarray(rate_per_day, float) * (high - firmness) * (firmness - low) / (high - low)
    )

"""What a fruit weighs: the crop's figure, moved by what the farm's own fruit weighed.

The logarithm of a farm's usual mass is Normal. What is believed first is the crop's figure, whose
low and high hold four farms in five. Every batch that was counted and weighed is a reading of it,
off by how batches differ and by how its few fruit do; Normal readings of a Normal add up by their
precisions (A. Gelman and others, Bayesian Data Analysis, 3rd edition, 2013, section 2.5; from
memory).
"""

import math
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

BATCH_SD: Final = 0.12
"""How far the mean of one batch is off the farm's usual, in logarithms (a guess, no source)."""

FRUIT_SD: Final = 0.3
"""How far one fruit is off the mean of its batch, in logarithms (a guess, no source)."""

_FOUR_IN_FIVE: Final = 1.2815515655446004
"""Standard deviations that a range of four in five reaches to either side."""


class FruitMass(NamedTuple):
    """The usual mass of a fruit (kg), and the range that holds it four times in five."""

    usual_kg: float
    low_kg: float
    high_kg: float


def fruit_mass(
    figure: FruitMass,
    count: npt.NDArray[np.float64],
    weight_kg: npt.NDArray[np.float64],
) -> FruitMass:
    """The mass of a farm's fruit, of the crop's ``figure`` and of batches that were counted and
    weighed: their fruit and their weight (kg), each of shape (batches,) and above 0."""
    before_sd = math.log(figure.high_kg / figure.low_kg) / (2.0 * _FOUR_IN_FIVE)
    if before_sd <= 0.0:
        return figure
    precision = 1.0 / (BATCH_SD**2 + FRUIT_SD**2 / count)
    total = before_sd**-2 + float(precision.sum())
    mean = math.log(figure.usual_kg) * before_sd**-2
    mean = (mean + float((np.log(weight_kg / count) * precision).sum())) / total
    reach = _FOUR_IN_FIVE * total**-0.5
    return FruitMass(math.exp(mean), math.exp(mean - reach), math.exp(mean + reach))


def batch_mass_kg(likely_kg: float, count: int, weight_kg: float) -> float:
    """The mass of a fruit of one batch (kg): what is likely of it, moved by what ``count`` of its
    fruit weighed (kg), if that is known (else 0)."""
    if not (count > 0 and weight_kg > 0.0):
        return likely_kg
    reading = BATCH_SD**2 / (BATCH_SD**2 + FRUIT_SD**2 / count)
    return likely_kg * math.exp(reading * math.log(weight_kg / count / likely_kg))

"""Normal beliefs put together and taken apart again, held to densities multiplied on a grid."""

import numpy as np
import pytest
from scipy.stats import norm

from ripenroom.science.learning.batch_ages import put_together, taken_apart

GRID = np.linspace(-6.0, 6.0, 24_001)


def moments(density: np.ndarray) -> tuple[float, float]:
    weight = density / density.sum()
    mean = float(GRID @ weight)
    return mean, float(np.sqrt(np.square(GRID - mean) @ weight))


def test_beliefs_count_as_their_densities_multiplied() -> None:
    told = [(0.3, 0.4), (-0.1, 0.2)]
    density = norm.pdf(GRID, 0.0, 0.5)
    for mean, sd in told:
        density = density * norm.pdf(GRID, mean, sd)
    assert put_together(0.25, told) == pytest.approx(moments(density), abs=1e-6)
    assert put_together(0.25, []) == (0.0, 0.5)


def test_what_was_put_together_comes_apart_again() -> None:
    mean, sd = put_together(0.25, [(0.3, 0.4)])
    assert taken_apart(mean, sd, 0.0, 0.5, most_sd=1.0) == pytest.approx((0.3, 0.4))
    assert taken_apart(mean, sd, 0.0, 0.5, most_sd=0.3) is None
    assert taken_apart(0.1, 0.5, 0.1, 0.5, most_sd=1.0) is None

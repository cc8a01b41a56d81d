"""Prospects of invented fruit."""

from typing import Any

import numpy as np

from ripenroom.planning.prospects import Prospects
from ripenroom.science.ages import Bands


def prospects(seed: int, journeys: int, days: int, courses: int = 1, **given: Any) -> Prospects:
    """Random fruit on journeys, at random market days; single columns may be given."""
    rng = np.random.default_rng(seed)
    rng_of_able = np.random.default_rng(seed + 1)
    shape = journeys, days, courses
    at_start = rng.uniform(0.0, 6.0, shape)
    columns = {
        "mean_age": rng.uniform(-4.0, -1.0, (journeys, 1)),
        "doubt_sd": rng.uniform(0.1, 0.6, (journeys, 1)),
        "fruit_sd": rng.uniform(0.2, 0.8, (journeys, 1)),
        "ready_age": np.full((journeys, 1), 1.0),
        "ready_sd": np.zeros((journeys, 1)),
        "ripens": rng.uniform(0.5, 1.0, (journeys, 1)),
        "ripens_sd": rng_of_able.uniform(0.2, 1.2, (journeys, 1)),
        "there": np.ones((journeys, days)),
        "too_soft_age": np.full((journeys, 1), 3.0),
        "ripe_ago": np.zeros((*shape, 0)),
        "bands": Bands.bell(journeys),
        "at_start": at_start,
        "at_horizon": at_start + rng.uniform(0.0, 1.0, shape),
        "start_rate_sd": rng.uniform(0.05, 0.25, shape),
        "horizon_rate_sd": rng.uniform(0.05, 0.25, shape),
        "weight": rng.dirichlet(np.ones(courses), (journeys, 1)),
    }
    return Prospects(**{**columns, **given})

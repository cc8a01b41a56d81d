"""Prospects of invented fruit."""

from typing import Any

import numpy as np

from ripenroom.planning.prospects import Prospects


def prospects(seed: int, journeys: int, days: int, **given: Any) -> Prospects:
    """Random fruit on journeys, at random market days; single columns may be given."""
    rng = np.random.default_rng(seed)
    at_start = rng.uniform(0.0, 6.0, (journeys, days))
    columns = {
        "mean_age": rng.uniform(-4.0, -1.0, (journeys, 1)),
        "doubt_sd": rng.uniform(0.1, 0.6, (journeys, 1)),
        "fruit_sd": rng.uniform(0.2, 0.8, (journeys, 1)),
        "rate_sd": rng.uniform(0.05, 0.25, (journeys, 1)),
        "ready_age": np.full((journeys, 1), 1.0),
        "ripens": rng.uniform(0.5, 1.0, (journeys, 1)),
        "past_age": np.full((journeys, days), 3.0),
        "at_start": at_start,
        "at_horizon": at_start + rng.uniform(0.0, 1.0, (journeys, days)),
        "there": np.ones((journeys, days)),
    }
    return Prospects(**{**columns, **given})

"""Journeys of batches for tests: places by their air, stays as (hour, place)."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from ripenroom.science.air import Air
from ripenroom.science.clock import ClockKnots, RateOfTemperature, SettledPulp
from ripenroom.science.cooling_lag import lags_of
from ripenroom.science.journey import Stays
from ripenroom.science.progress import Arrivals, ClockAdvance
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import AnyResponse, Process
from ripenroom.science.unsettled import Unsettled

Journey = Sequence[tuple[float, int]]
"""Stays of one batch: the hour each begins, and the number of its place."""

END_H = 1440.0


def stays_of(journeys: Sequence[Journey]) -> Stays:
    """Padded stays: a short line repeats its last one."""
    most = max(len(journey) for journey in journeys)
    padded = [[*journey, *[journey[-1]] * (most - len(journey))] for journey in journeys]
    return Stays(
        np.array([[hour for hour, _ in line] for line in padded], float),
        np.array([[place for _, place in line] for line in padded], np.intp),
    )


def arrivals_of(
    airs: Sequence[Air], journeys: Sequence[Journey], rate: RateOfTemperature
) -> tuple[Arrivals, Floats]:
    """Arrivals, and the advance of one kind of clock at all knots; a room is a place."""
    clocks = [SettledPulp(air, 0.0, END_H).clock(rate) for air in airs]
    stays = stays_of(journeys)
    knots = ClockKnots([clock.hours for clock in clocks])
    return Arrivals(stays, knots, stays.place), np.concatenate([clock.theta for clock in clocks])


def progress_of(
    airs: Sequence[Air],
    journeys: Sequence[Journey],
    process: Process,
    pulp_at_pick_c: npt.ArrayLike = np.nan,
) -> ClockAdvance:
    """How far a process gets along the journeys."""
    arrivals, theta = arrivals_of(airs, journeys, process.rate_per_day)
    unsettled = unsettled_of(airs, journeys, pulp_at_pick_c)
    return ClockAdvance.along(arrivals, theta, lags_of(unsettled, [[process]])[0])


def unsettled_of(
    airs: Sequence[Air], journeys: Sequence[Journey], pulp_at_pick_c: npt.ArrayLike = np.nan
) -> Unsettled:
    """How far from settled the pulp of each batch is, all of one kind."""
    pulp = np.broadcast_to(np.asarray(pulp_at_pick_c, float), (len(journeys),))
    return Unsettled.along(stays_of(journeys), np.zeros(len(journeys), np.intp), airs, pulp)


def ageing_of(
    airs: Sequence[Air],
    journeys: Sequence[Journey],
    response: AnyResponse,
    pulp_at_pick_c: npt.ArrayLike = np.nan,
) -> ClockAdvance:
    """Ageing of one crop along the journeys."""
    return progress_of(airs, journeys, Process(response.relative_rate), pulp_at_pick_c)


def lines(batches: int, hours: npt.ArrayLike) -> Floats:
    """The same hours for every batch."""
    at = np.asarray(hours, float)
    return np.broadcast_to(at, (batches, at.size))

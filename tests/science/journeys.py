"""Journeys of batches for tests: places by their air, stays as (hour, place)."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from ripenroom.science.ageing import Ageing
from ripenroom.science.air import Air
from ripenroom.science.clock import KnotShelf, RateOfTemperature, SettledPulp
from ripenroom.science.journey import Stays
from ripenroom.science.lag import Lag
from ripenroom.science.progress import Arrivals, Progress
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import AnyResponse

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
    knots = KnotShelf([clock.hours for clock in clocks])
    return Arrivals(stays, knots, stays.place), np.concatenate([clock.theta for clock in clocks])


def progress_of(
    airs: Sequence[Air], journeys: Sequence[Journey], rate: RateOfTemperature
) -> Progress:
    """How far a process with this rate gets, without any lag of the pulp."""
    return Progress.along(*arrivals_of(airs, journeys, rate))


def ageing_of(
    airs: Sequence[Air],
    journeys: Sequence[Journey],
    response: AnyResponse,
    pulp_at_pick_c: npt.ArrayLike = np.nan,
) -> Ageing:
    """Ageing of one crop along the journeys."""
    arrivals, theta = arrivals_of(airs, journeys, response.relative_rate)
    batches = len(journeys)
    pulp = np.broadcast_to(np.asarray(pulp_at_pick_c, float), (batches,))
    crop = np.zeros(batches, np.intp)
    lag = Lag.of_stays(arrivals.stays, airs, pulp, [response], crop)
    return Ageing.along(arrivals, theta, lag)


def lines(batches: int, hours: npt.ArrayLike) -> Floats:
    """The same hours for every batch."""
    at = np.asarray(hours, float)
    return np.broadcast_to(at, (batches, at.size))

"""The pulp of a crate on its journey, and every clock that runs by it, from a profile's figures.

Nothing of the program's science takes part: the equations are set down here once more, step by step
in time, so that a mistake in how the program puts clocks and lags together cannot hide on both
sides. Hours are counted from the pick.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ripenroom.records.crop.profile import CropProfile, DaysAt

Floats = npt.NDArray[np.float64]

STORAGE_KNOWN_ABOVE_K = 2.0
"""A storage life is not claimed for pulp more than this above its warmest temperature."""

FROZEN_IN_H = 6.0
"""Hours at or below its freezing point, in all, after which fruit is frozen through and lost."""

_FINE_H, _COARSE_H, _SETTLED_H = 0.05, 0.5, 6.0
_NEARLY_K, _NOTHING_K = 0.5, 1e-3


@dataclass(frozen=True, slots=True)
class Journey:
    """Pulp temperature at pick (C), half-cooling time (h), and stays: (begins (h), air (C))."""

    pulp_c: float
    half_cooling_h: float
    stays: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Course:
    """Edges of steps (h), shape (n + 1,), and the pulp (C) in the middle of each, (n,)."""

    hours: Floats
    pulp_c: Floats

    @property
    def days(self) -> Floats:
        """How long each step takes, in days."""
        return np.diff(self.hours) / 24.0

    def steps(self) -> Iterator[tuple[float, float, float]]:
        """Begin and end (h) and pulp (C) of each step."""
        return zip(
            self.hours[:-1].tolist(), self.hours[1:].tolist(), self.pulp_c.tolist(), strict=True
        )


def in_short_steps(course: Course, most_h: float) -> Course:
    """The same course in steps of at most ``most_h``, for what is not steady in a long one."""
    length_h = np.diff(course.hours)
    parts = np.ceil(length_h / most_h).astype(int)
    begin_h, step_h = np.repeat(course.hours[:-1], parts), np.repeat(length_h / parts, parts)
    within = np.arange(parts.sum()) - np.repeat(np.cumsum(parts) - parts, parts)
    hours = np.append(begin_h + within * step_h, course.hours[-1])
    return Course(hours, np.repeat(course.pulp_c, parts))


def course_of(journey: Journey, until_h: float) -> Course:
    """The pulp goes half of its way to the air in every half-cooling time.

    In steps of three minutes; of half an hour once it is within half a kelvin of the air. When it
    has come to the air's temperature every pace is steady, and a step of any length is exact.
    """
    hours, pulp = [0.0], []
    difference = journey.pulp_c - journey.stays[0][1]
    ends = [begin for begin, _ in journey.stays[1:]] + [until_h]
    air_before = journey.stays[0][1]
    for (_, air), end in zip(journey.stays, ends, strict=True):
        difference += air_before - air
        air_before = air
        while hours[-1] < end - 1e-9:
            if abs(difference) < _NOTHING_K:
                difference, step = 0.0, _SETTLED_H
            else:
                step = _FINE_H if abs(difference) > _NEARLY_K else _COARSE_H
            step = min(step, end - hours[-1])
            pulp.append(air + difference * 0.5 ** (step / 2.0 / journey.half_cooling_h))
            difference *= 0.5 ** (step / journey.half_cooling_h)
            hours.append(hours[-1] + step)
    return Course(np.array(hours), np.array(pulp))


# What cold uses up, and what it opens.


def used_by(course: Course, table: tuple[DaysAt, ...], none_from_c: float) -> Floats:
    """Share used up at each of the course's hours: a day at T takes ``1 / L(T)``."""
    celsius = [at.temperature_c for at in table]
    log_days = np.interp(course.pulp_c, celsius, np.log([at.days.value for at in table]))
    use = np.where(course.pulp_c < none_from_c, np.exp(-log_days), 0.0)
    return np.concatenate([[0.0], np.cumsum(use * course.days)])


def chilling_used(course: Course, profile: CropProfile) -> Floats:
    """Share of the chilling allowance used at each of the course's hours."""
    if profile.chilling is None:
        return np.zeros(course.hours.size)
    return used_by(course, profile.chilling.allowance, profile.chilling.threshold_c.value)


def storage_used(course: Course, profile: CropProfile) -> Floats:
    """Share of the storage life used at each of the course's hours."""
    life = profile.storage.life
    if not life:
        return np.zeros(course.hours.size)
    return used_by(course, life, life[-1].temperature_c + STORAGE_KNOWN_ABOVE_K)


def frozen_h(course: Course, profile: CropProfile) -> Floats:
    """Hours at or below the freezing point so far, at each of the course's hours."""
    freezing = profile.storage.freezing_c
    if freezing is None:
        return np.zeros(course.hours.size)
    below = course.pulp_c <= freezing.value
    return np.concatenate([[0.0], np.cumsum(below * np.diff(course.hours))])


def reached_h(course: Course, clock: Floats, level: float) -> float:
    """The hour at which a clock that never runs back first stands at ``level``; inf if never."""
    if clock[-1] < level:
        return float("inf")
    after = int(np.argmax(clock >= level))
    if after == 0:
        return 0.0
    part = (level - clock[after - 1]) / (clock[after] - clock[after - 1])
    return float(course.hours[after - 1] + part * (course.hours[after] - course.hours[after - 1]))


def ended_h(course: Course, profile: CropProfile) -> float:
    """The hour at which cold, storage or freezing ends all fruit of a batch; inf if none does."""
    return min(
        reached_h(course, chilling_used(course, profile), 1.0),
        reached_h(course, storage_used(course, profile), 1.0),
        reached_h(course, frozen_h(course, profile), FROZEN_IN_H),
    )


def gate_met(course: Course, profile: CropProfile) -> Floats:
    """Share of the gate's need that is met at each of the course's hours."""
    assert profile.gate is not None
    return used_by(course, profile.gate.needs, profile.gate.none_above_c)

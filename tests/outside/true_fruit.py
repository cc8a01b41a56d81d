"""Fruit followed one by one through the temperatures of its own pulp, from a profile's figures.

Nothing of the program's science takes part: the equations are set down here once more, step by step
in time, so that a mistake in how the program puts clocks, lags and spreads together cannot hide on
both sides. Every clock sees the pulp: ageing, ripe life, gate and allowances.

Hours are counted from the pick. Ages are ``ln((highest - F) / (F - lowest))`` of firmness ``F``.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ripenroom.records.crop.profile import CropProfile, DaysAt, Figure

Floats = npt.NDArray[np.float64]

GAS_KJ_MOL_K = 8.314462618e-3
KELVIN = 273.15
Z80 = 1.2815515655446004
"""A Normal lies within so many sds with a probability of 80 %."""

STORAGE_KNOWN_ABOVE_K = 2.0
"""A storage life is not claimed for pulp more than this above its warmest temperature."""

FROZEN_IN_H = 6.0
"""Hours at or below its freezing point, in all, after which fruit is frozen through and lost."""

_FINE_H, _COARSE_H, _NEARLY_K = 0.05, 0.5, 0.5


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


def course_of(journey: Journey, until_h: float) -> Course:
    """The pulp goes half of its way to the air in every half-cooling time.

    In steps of three minutes; of half an hour once it is within half a kelvin of the air.
    """
    hours, pulp = [0.0], []
    difference = journey.pulp_c - journey.stays[0][1]
    ends = [begin for begin, _ in journey.stays[1:]] + [until_h]
    air_before = journey.stays[0][1]
    for (_, air), end in zip(journey.stays, ends, strict=True):
        difference += air_before - air
        air_before = air
        while hours[-1] < end - 1e-9:
            step = _FINE_H if abs(difference) > _NEARLY_K else _COARSE_H
            step = min(step, end - hours[-1])
            pulp.append(air + difference * 0.5 ** (step / 2.0 / journey.half_cooling_h))
            difference *= 0.5 ** (step / journey.half_cooling_h)
            if abs(difference) < 1e-3:
                difference = 0.0
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
    """The hour at which cold, storage or frost ends all fruit of a batch; inf if none does."""
    return min(
        reached_h(course, chilling_used(course, profile), 1.0),
        reached_h(course, storage_used(course, profile), 1.0),
        reached_h(course, frozen_h(course, profile), FROZEN_IN_H),
    )


def gate_met(course: Course, profile: CropProfile) -> Floats:
    """Share of the gate's need that is met at each of the course's hours."""
    assert profile.gate is not None
    return used_by(course, profile.gate.needs, profile.gate.none_above_c)


# Fruit.


def age_at(profile: CropProfile, newtons: float) -> float:
    """Physiological age at a firmness."""
    high, low = profile.firmness.highest_n.value, profile.firmness.lowest_n.value
    return float(np.log((high - newtons) / (newtons - low)))


def ready_age(profile: CropProfile) -> float:
    """Age from which fruit is ready."""
    return age_at(profile, profile.firmness.ready_n.value)


def too_soft_age(profile: CropProfile) -> float:
    """Age from which fruit is past."""
    return age_at(profile, profile.firmness.too_soft_n.value)


def sd_of(figure: Figure) -> float:
    """Sd of a figure whose 80 % range is a Normal's."""
    return (figure.high - figure.low) / (2.0 * Z80)


def log_sd_of(figure: Figure) -> float:
    """Sd of the log of a figure whose 80 % range is a lognormal's."""
    return float(np.log(figure.high / figure.low)) / (2.0 * Z80)


@dataclass(frozen=True, slots=True)
class Fruit:
    """Fruit that can ripen, one entry each, or one entry for all where they do not differ.

    ``weight`` is the share of all fruit that each stands for. Rates per reference day.
    """

    age: Floats
    weight: Floats
    rate_per_day: Floats
    activation_kj_mol: Floats
    life_days: Floats
    life_q10: Floats


@dataclass(frozen=True, slots=True)
class Fates:
    """When each fruit becomes ready and when it is past (h; inf if not by the end), its weight."""

    ready_h: Floats
    past_h: Floats
    weight: Floats

    def ready_and_past(self, hours: Floats) -> tuple[Floats, Floats]:
        """Shares of all fruit that are ready, and past, at each hour."""
        past = _gone_by(self.past_h, self.weight, hours)
        return _gone_by(self.ready_h, self.weight, hours) - past, past


def _gone_by(at_h: Floats, weight: Floats, hours: Floats) -> Floats:
    order = np.argsort(at_h)
    so_far = np.concatenate([[0.0], np.cumsum(weight[order])])
    return np.asarray(so_far[np.searchsorted(at_h[order], hours, side="right")])


def follow_fruit(profile: CropProfile, fruit: Fruit, course: Course) -> Fates:
    """Every fruit through the course, step by step.

    It is past when it is too soft, or when its ripe life is used up, counted from the moment it
    became ready; within a step all paces are steady.
    """
    ready, soft = ready_age(profile), too_soft_age(profile)
    age = fruit.age.copy()
    life_left = np.broadcast_to(fruit.life_days, age.shape).copy()
    ready_h, past_h = np.full(age.shape, np.inf), np.full(age.shape, np.inf)
    opens_h, meanwhile = 0.0, 1.0
    if profile.gate is not None:
        opens_h = reached_h(course, gate_met(course, profile), 1.0)
        meanwhile = profile.gate.meanwhile.value
    known_c, per_day, life_per_day = float("nan"), fruit.rate_per_day, fruit.life_q10
    for begin, end, celsius in course.steps():
        if celsius != known_c:
            per_day = fruit.rate_per_day * _pace(profile, fruit.activation_kj_mol, celsius)
            life_per_day = _life_pace(profile, fruit.life_q10, celsius)
            known_c = celsius
        days = (end - begin) / 24.0
        shut = float(np.clip((opens_h - begin) / (end - begin), 0.0, 1.0))
        gain = per_day * (days * (1.0 - shut * (1.0 - meanwhile)))
        # Parts of the step after which a fruit is ready, too soft, and out of its ripe life.
        at_ready = np.clip((ready - age) / gain, 0.0, 1.0)
        life = life_per_day * days
        at_past = np.minimum((soft - age) / gain, at_ready + life_left / life)
        turns = np.isinf(ready_h) & (at_ready < 1.0)
        ready_h[turns] = begin + at_ready[turns] * (end - begin)
        goes = np.isinf(past_h) & (at_past < 1.0)
        past_h[goes] = begin + np.maximum(at_past[goes], 0.0) * (end - begin)
        age += gain
        life_left -= (1.0 - at_ready) * life
    return Fates(ready_h, past_h, np.broadcast_to(fruit.weight, age.shape))


def _pace(profile: CropProfile, activation_kj_mol: Floats, celsius: float) -> Floats:
    """Speed relative to the reference: Arrhenius with a shut-down in heat, or as tabulated."""
    rate = profile.rate
    if rate.activation_kj_mol is None:
        known_c = [at.temperature_c for at in rate.by_temperature]
        logs = np.log([at.per_day.value for at in rate.by_temperature])
        return np.exp(np.interp([celsius], known_c, logs)) / rate.per_day.value
    inverse, reference = 1.0 / (celsius + KELVIN), 1.0 / (rate.reference_c + KELVIN)
    pace = np.exp(activation_kj_mol / GAS_KJ_MOL_K * (reference - inverse))
    if rate.heat_kj_mol is None or rate.heat_midpoint_c is None:
        return np.asarray(pace)
    heat, middle = rate.heat_kj_mol.value / GAS_KJ_MOL_K, rate.heat_midpoint_c.value + KELVIN

    def held_back(inverse_k: float) -> float:
        return 1.0 + float(np.exp(heat * (1.0 / middle - inverse_k)))

    return np.asarray(pace * held_back(reference) / held_back(inverse))


def _life_pace(profile: CropProfile, q10: Floats, celsius: float) -> Floats:
    reference_c = profile.ripe_life.reference_c if profile.ripe_life else celsius
    return np.asarray(q10 ** ((celsius - reference_c) / 10.0))

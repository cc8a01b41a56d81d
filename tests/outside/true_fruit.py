"""Fruit followed one by one through the temperatures of its own pulp, from a profile's figures.

Nothing of the program's science takes part: see :mod:`tests.outside.true_pulp`. Ageing, ripe life
and the gate all see the pulp. Hours are counted from the pick; ages are
``ln((highest - F) / (F - lowest))`` of firmness ``F``.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from ripenroom.records.crop.profile import CropProfile, Figure
from tests.outside.true_pulp import Course, Floats, gate_met, in_short_steps, reached_h

GAS_KJ_MOL_K = 8.314462618e-3
KELVIN = 273.15
Z80 = 1.2815515655446004
"""A Normal lies within so many sds with a probability of 80 %."""


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


def need_times(profile: CropProfile, mean_age: float) -> float:
    """How many times the usual need of its gate a pick of this mean age has; from a twentieth to
    twice."""
    assert profile.gate is not None
    if profile.gate.per_age is None:
        return 1.0
    beyond = mean_age - age_at(profile, profile.firmness.at_maturity_n.value)
    return float(np.clip(profile.gate.per_age.value**beyond, 0.05, 2.0))


GRADUAL_STEP_H = 0.5
"""Speed that rises gradually is steady in steps of that length."""


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
    free: Floats | None = None
    if profile.gate is not None:
        if profile.gate.width is not None:
            course = in_short_steps(course, GRADUAL_STEP_H)
        weight = np.broadcast_to(fruit.weight, age.shape)
        times = need_times(profile, float(np.average(age, weights=weight)))
        free = _free_speed(profile, course, times)
    known_c, per_day, life_per_day = float("nan"), fruit.rate_per_day, fruit.life_q10
    for step, (begin, end, celsius) in enumerate(course.steps()):
        if celsius != known_c:
            per_day = fruit.rate_per_day * _pace(profile, fruit.activation_kj_mol, celsius)
            life_per_day = _life_pace(profile, fruit.life_q10, celsius)
            known_c = celsius
        days = (end - begin) / 24.0
        gain = per_day * (days if free is None else days * float(free[step]))
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


def _free_speed(profile: CropProfile, course: Course, times: float) -> Floats:
    """Share of full speed at which fruit ages in each step, by how much of its need is met."""
    gate = profile.gate
    assert gate is not None
    met = gate_met(course, profile) / times
    if gate.width is not None:
        middle = np.maximum((met[:-1] + met[1:]) / 2.0, 1e-12)
        free = ndtr(np.log(middle) / gate.width.value)
    else:
        opens_h, begin, end = reached_h(course, met, 1.0), course.hours[:-1], course.hours[1:]
        free = 1.0 - np.clip((opens_h - begin) / (end - begin), 0.0, 1.0)
    return np.asarray(gate.meanwhile.value + (1.0 - gate.meanwhile.value) * free)


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

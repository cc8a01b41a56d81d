"""Fruit of a batch to be followed one by one: evenly spread, or drawn with every doubt."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import expit, ndtr, ndtri

from ripenroom.records.crop.profile import CropProfile
from tests.outside.true_fruit import Z80, Fruit, age_at, log_sd_of, sd_of
from tests.outside.true_pulp import Floats

LOOKED_AT_SD = 2.0
"""Least sd of what is believed of the mean age before fruit is felt."""


@dataclass(frozen=True, slots=True)
class Ages:
    """Ages at pick of a batch's fruit that can ripen: mean, doubt about it, the fruit's own sd.

    ``ripens`` is the share of all fruit that they are.
    """

    mean: float
    doubt_sd: float
    fruit_sd: float
    ripens: float


def _alike(profile: CropProfile, age: Floats, weight: Floats) -> Fruit:
    """Fruit that differ in nothing but their age; all figures are the profile's own."""
    life, energy = profile.ripe_life, profile.rate.activation_kj_mol
    return Fruit(
        age,
        weight,
        np.array([profile.rate.per_day.value]),
        np.array([energy.value if energy else 0.0]),
        np.array([life.days.value if life else np.inf]),
        np.array([life.q10.value if life else 1.0]),
    )


def _doubted(profile: CropProfile, fruit: Fruit, draw: np.random.Generator) -> Fruit:
    """The same fruit, each under its own truth of what the profile leaves open."""
    number, life, energy = fruit.age.size, profile.ripe_life, profile.rate.activation_kj_mol

    def around(value: Floats, log_sd: float) -> Floats:
        return value * np.exp(draw.normal(0.0, log_sd, number))

    steeper = draw.normal(0.0, sd_of(energy) if energy else 0.0, number)
    return replace(
        fruit,
        rate_per_day=around(fruit.rate_per_day, log_sd_of(profile.rate.per_day)),
        activation_kj_mol=fruit.activation_kj_mol + steeper,
        life_days=around(fruit.life_days, log_sd_of(life.days) if life else 0.0),
        life_q10=around(fruit.life_q10, log_sd_of(life.q10) if life else 0.0),
    )


def _even(number: int) -> Floats:
    """Probabilities in the middle of so many equal parts."""
    return (np.arange(number) + 0.5) / number


def evenly(profile: CropProfile, ages: Ages, number: int) -> Fruit:
    """Fruit as they are if all estimates hold, at equal steps of probability."""
    age = ages.mean + ages.fruit_sd * ndtri(_even(number))
    return _alike(profile, age, np.full(number, ages.ripens / number))


def drawn(profile: CropProfile, ages: Ages, number: int, seed: int) -> Fruit:
    """Fruit drawn with every doubt: age, rate, slope, and ripe life with its own q10."""
    draw = np.random.default_rng(seed)
    age = ages.mean + draw.normal(0.0, ages.doubt_sd, number)
    age += draw.normal(0.0, ages.fruit_sd, number)
    return _doubted(profile, _alike(profile, age, np.full(number, ages.ripens / number)), draw)


def felt(profile: CropProfile, counts: Sequence[int], number: int) -> Fruit:
    """Fruit of several feels kept together, if all estimates hold.

    Of each feel the ages are the crop's wide Normal cut to that feel's interval of age; hard has no
    firm end, so there the Normal is that of fruit at maturity. Fruit too hard to ripen drop out.
    """
    parts = [
        _of_feel(profile, feel, max(round(number * count / sum(counts)), 1))
        for feel, count in enumerate(counts)
        if count
    ]
    age = np.concatenate(parts)
    return _alike(profile, age, _able(profile, age) / age.size)


def drawn_felt(profile: CropProfile, counts: Sequence[int], number: int, seed: int) -> Fruit:
    """As :func:`felt` with every doubt: one hand's error for all, and those of :func:`drawn`."""
    draw = np.random.default_rng(seed)
    age = felt(profile, counts, number).age
    age = age + draw.normal(0.0, profile.feel.judgement_age.value, age.size)
    return _doubted(profile, _alike(profile, age, _able(profile, age) / age.size), draw)


def _of_feel(profile: CropProfile, feel: int, number: int) -> Floats:
    feels, mature = profile.feel, profile.firmness.at_maturity_n
    edges = (feels.slight_give_n, feels.gives_n, feels.soft_n, feels.too_soft_n)
    walls = [-np.inf, *(age_at(profile, edge.value) for edge in edges), np.inf]
    mean = age_at(profile, mature.value)
    doubt = (age_at(profile, mature.low) - age_at(profile, mature.high)) / (2.0 * Z80)
    wide = (
        np.hypot(doubt, profile.fruit_spread_age.value) if feel == 0 else max(doubt, LOOKED_AT_SD)
    )
    below, above = ndtr((walls[feel] - mean) / wide), ndtr((walls[feel + 1] - mean) / wide)
    return np.asarray(mean + wide * ndtri(below + (above - below) * _even(number)))


def _able(profile: CropProfile, age: Floats) -> Floats:
    """Probability that fruit of an age can ripen: a logistic of its firmness."""
    firmness, wont = profile.firmness, profile.wont_ripen
    low, high = firmness.lowest_n.value, firmness.highest_n.value
    newtons = low + (high - low) * expit(-age)
    return np.asarray(expit((wont.half_n.value - newtons) / wont.width_n.value))

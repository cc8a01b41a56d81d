"""How long ripe fruit lasts, as packings tell it, against fruit drawn one by one.

What was squeezed is followed here fruit by fruit: no grid, no band and no likelihood of the program
is used.
"""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.science.ages import Bands
from ripenroom.science.learning.ripe_life import LIVES_KNOWN, RipeFruit, ripe_life
from ripenroom.science.softening import Floats

FIT_FROM, READY, TOO_SOFT, FRUIT_SD, HAND_SD = 1.0, 1.55, 3.44, 0.6, 0.4
READY_SD = 0.29
PER_DAY, LIFE_DAYS, LIFE_SD = 0.8, 1.67, 0.46
NOSE_SD, OWN_SD, ODD = 0.2, 0.15, 0.02
FRUIT = 40


def packings(count: int, age: float, age_sd: float = 0.2, rate_sd: float = 0.1) -> RipeFruit:
    """So many packings of one cultivar whose fruit is about so old; none squeezed yet."""
    every = np.ones(count)
    return RipeFruit(
        good=0.0 * every,
        past=0.0 * every,
        fit_from=FIT_FROM * every,
        ready_age=READY * every,
        too_soft_age=TOO_SOFT * every,
        age=age * every,
        age_sd=age_sd * every,
        per_rate=3.0 * every,
        rate_sd=rate_sd * every,
        cultivar=np.zeros(count, dtype=np.intp),
        gained=np.tile(PER_DAY * LIFE_DAYS * LIVES_KNOWN, (count, 1)),
        own_sd=OWN_SD * every,
        judgement_sd=HAND_SD * every,
        not_firm=every,
        fruit_sd=FRUIT_SD * every,
        bands=Bands.bell(count),
    )


def squeezed(
    ripe: RipeFruit, log_life: Floats, draw: np.random.Generator
) -> tuple[Floats, Floats, Floats]:
    """Fruit that was good and past, and its mean age, (farms, packings), on farms of such ripe
    lives."""
    farms, count = log_life.size, ripe.age.size
    ready = draw.normal(READY, READY_SD, (farms, 1))
    rate = draw.normal(0.0, ripe.rate_sd[0], (farms, 1))
    mean = ripe.age + ripe.per_rate * rate + draw.normal(0.0, ripe.age_sd, (farms, count))
    own = draw.normal(0.0, OWN_SD, (farms, count))
    gained = PER_DAY * LIFE_DAYS * np.exp(log_life[:, None] + own + rate)
    hand = draw.normal(0.0, HAND_SD, (farms, count))
    good, past = np.zeros((2, farms, count))
    for _ in range(FRUIT):
        age = mean + FRUIT_SD * draw.standard_normal(mean.shape)
        over = age > ready + gained * (1.0 + NOSE_SD * draw.standard_normal(mean.shape))
        gone = over | (age + hand > TOO_SOFT)
        odd = draw.random(mean.shape) < ODD
        gone = np.where(odd, draw.random(mean.shape) < 0.5, gone)
        firm = age + hand < FIT_FROM
        good, past = good + (~firm & ~gone), past + (~firm & gone)
    return good, past, mean


def found(ripe: RipeFruit, good: Floats, past: Floats) -> RipeFruit:
    """The packings after they were squeezed."""
    not_firm = np.clip((good + past) / FRUIT, 0.02, 1.0)
    return replace(ripe, good=good, past=past, not_firm=not_firm)


@pytest.mark.parametrize(
    ("age", "firm", "past"),
    [(1.6, 8, 0), (1.6, 8, 2), (2.2, 2, 0), (2.2, 2, 5), (2.8, 1, 3), (2.8, 0, 20), (3.2, 0, 30)],
)
def test_one_packing_tells_as_much_as_fruit_drawn_one_by_one(
    age: float, firm: int, past: int
) -> None:
    """Ages are known as they are by how many were firm."""
    ripe = packings(1, age, age_sd=0.3, rate_sd=0.05)
    draw = np.random.default_rng(5)
    log_life = draw.normal(0.0, LIFE_SD, 150_000)
    good, gone, mean_age = (column[..., 0] for column in squeezed(ripe, log_life, draw))
    as_firm = good + gone == FRUIT - firm
    alike = as_firm & (gone == past)
    assert alike.sum() > 150
    by_rate = ripe.per_rate * ripe.rate_sd
    ripe = replace(
        ripe,
        age=mean_age[as_firm].mean(keepdims=True),
        age_sd=np.sqrt(mean_age[as_firm].var() - by_rate**2),
    )
    truth = log_life[alike]
    counts = np.array([FRUIT - firm - past], float), np.array([past], float)
    mean, sd = ripe_life(found(ripe, *counts), 0.0, LIFE_SD, READY_SD)
    assert mean == pytest.approx(truth.mean(), abs=0.15 * LIFE_SD)
    assert sd == pytest.approx(truth.std(), rel=0.15)


@pytest.mark.parametrize("count", [1, 4, 12])
def test_ranges_hold_as_often_as_they_say(count: int) -> None:
    """On 300 farms, of packings at all ages; an 80 % range holds 0.73 to 0.87 of them."""
    draw = np.random.default_rng(17 + count)
    log_life = draw.normal(0.0, LIFE_SD, 300)
    ripe = replace(packings(count, 2.4), age=draw.uniform(1.6, 3.2, count))
    good, past, _ = squeezed(ripe, log_life, draw)
    off = np.empty(log_life.size)
    for farm, true in enumerate(log_life.tolist()):
        mean, sd = ripe_life(found(ripe, good[farm], past[farm]), 0.0, LIFE_SD, READY_SD)
        off[farm] = (true - mean) / sd
    held = float((np.abs(off) < 1.2816).mean())
    assert 0.73 < held < 0.87
    assert abs(float(off.mean())) < 0.2


def test_many_packings_tell_a_long_life_from_a_short_one() -> None:
    """Of thirty farms each with forty packings; what is doubted of the rate and of the age from
    which fruit is ready is in all of a farm's."""
    draw = np.random.default_rng(3)
    ripe = packings(40, 2.4)
    middle = []
    for log_life in (-0.4, 0.0, 0.4):
        good, past, _ = squeezed(ripe, np.full(30, log_life), draw)
        told = [
            ripe_life(found(ripe, *farm), 0.0, LIFE_SD, READY_SD)
            for farm in zip(good, past, strict=True)
        ]
        mean, sd = np.array(told).T
        assert sd.mean() < 0.7 * LIFE_SD
        middle.append(float(mean.mean()))
    assert middle[0] + 0.15 < middle[1] < middle[2] - 0.15


def test_where_nothing_was_ripe_or_ripe_life_is_known_nothing_is_learned() -> None:
    none = packings(0, 2.0)
    assert ripe_life(none, 0.2, 0.3) == (0.2, 0.3)
    all_firm = found(packings(2, 2.0), np.zeros(2), np.zeros(2))
    assert ripe_life(all_firm, 0.2, 0.3) == (0.2, 0.3)
    one = found(packings(1, 2.5), np.array([30.0]), np.array([10.0]))
    assert ripe_life(one, 0.2, 0.0) == (0.2, 0.0)
    young = found(packings(1, 0.2, age_sd=0.1), np.array([2.0]), np.array([0.0]))
    mean, sd = ripe_life(young, 0.0, LIFE_SD, READY_SD)
    assert (mean, sd) == pytest.approx((0.0, LIFE_SD), abs=0.03)

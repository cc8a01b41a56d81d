"""Profiles as plain numbers."""

import math
from dataclasses import replace

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.crop_constants import crop_constants

PROFILES = shipped_profiles()


@pytest.mark.parametrize("crop", PROFILES)
def test_ages_rise_as_fruit_softens(crop: str) -> None:
    c = crop_constants(PROFILES[crop])
    assert list(c.feel_edges) == sorted(c.feel_edges)
    assert c.ready_age < c.too_soft_age
    assert c.fruit_sd > 0.0
    if c.felt:
        assert min(c.maturity_sd, c.judgement_sd, c.rate_sd) > 0.0
        assert (c.slope_sd > 0.0) == (PROFILES[crop].rate.activation_kj_mol is not None)
    for allowed in (c.chilling, c.storage, c.gate.need):
        in_order = np.array([allowed.low.days, allowed.mid.days, allowed.high.days])
        assert (np.diff(in_order, axis=0) >= 0.0).all()
    celsius = np.linspace(-2.0, 35.0, 38)
    usual, fast, slow, rather_fast, rather_slow = (rate(celsius) for rate in c.ripe_life_rates)
    in_order = np.array([slow, rather_slow, usual, rather_fast, fast])
    assert (np.diff(in_order, axis=0) >= 0.0).all()
    freezing = PROFILES[crop].storage.freezing_c
    assert freezing is not None
    frozen = c.freezing.mid.use_per_day(freezing.value + np.array([-5.0, 0.0, 0.1, 10.0]))
    assert frozen.tolist() == pytest.approx([4.0, 4.0, 0.0, 0.0])


def test_ripe_life_is_as_doubtful_as_its_days_and_away_from_there_as_its_q10() -> None:
    life = PROFILES["pawpaw"].ripe_life
    assert life is not None
    rates = crop_constants(PROFILES["pawpaw"]).ripe_life_rates
    at_reference = np.array([life.reference_c])
    range_there = math.log(float(rates.fast(at_reference)[0] / rates.slow(at_reference)[0]))
    assert range_there == pytest.approx(math.log(life.days.high / life.days.low))
    cold = np.array([life.reference_c - 16.0])
    range_in_the_cold = math.log(float(rates.fast(cold)[0] / rates.slow(cold)[0]))
    of_q10 = 1.6 * math.log(life.q10.high / life.q10.low)
    assert range_in_the_cold == pytest.approx(math.hypot(range_there, of_q10))


def test_an_80_percent_range_is_that_many_sds_wide() -> None:
    profile = PROFILES["pawpaw"]
    sd = crop_constants(profile).slope_sd
    slope = profile.rate.activation_kj_mol
    assert slope is not None
    assert slope.high - slope.low == pytest.approx(2.0 * 1.2816 * sd, rel=1e-4)


@pytest.mark.parametrize("crop", PROFILES)
def test_cold_uses_up_the_chilling_allowance_as_published_and_warm_air_none(crop: str) -> None:
    chilling = PROFILES[crop].chilling
    use = crop_constants(PROFILES[crop]).chilling.mid.use_per_day
    threshold_c = chilling.threshold_c.value if chilling else 10.0
    used = use(threshold_c + np.array([-12.0, -8.0, -3.0, -0.5, 0.0, 15.0]))
    assert used[-2:].tolist() == [0.0, 0.0]
    assert (used[0] > 0.0) == (chilling is not None)
    at = [point.temperature_c for point in chilling.allowance] if chilling else []
    days = [point.days.value for point in chilling.allowance] if chilling else []
    assert use(at).tolist() == pytest.approx([1.0 / allowed for allowed in days])
    # Stone fruit and persimmon break down fastest in the middle; all others the colder the faster.
    if days == sorted(days):
        assert (np.diff(used) <= 0.0).all()


def test_a_crop_without_limits_is_ended_by_softness_alone() -> None:
    profile = PROFILES["pear"]
    bare = replace(
        profile, chilling=None, ripe_life=None, storage=replace(profile.storage, life=())
    )
    c = crop_constants(bare)
    assert c.ripe_life_days == np.inf
    celsius = np.array([-5.0, 3.0, 30.0])
    assert c.chilling.mid.use_per_day(celsius).tolist() == [0.0, 0.0, 0.0]
    assert c.storage.mid.use_per_day(celsius).tolist() == [0.0, 0.0, 0.0]
    assert c.ripe_life_rates.usual(celsius).tolist() == [1.0, 1.0, 1.0]

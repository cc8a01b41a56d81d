"""Profiles as plain numbers."""

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
    assert c.chilling.low <= 1.0 <= c.chilling.high
    assert c.storage.low <= 1.0 <= c.storage.high
    assert c.ripe_days[0] <= c.ripe_days[1] <= c.ripe_days[2]


def test_an_80_percent_range_is_that_many_sds_wide() -> None:
    profile = PROFILES["pawpaw"]
    sd = crop_constants(profile).slope_sd
    slope = profile.rate.activation_kj_mol
    assert slope is not None
    assert slope.high - slope.low == pytest.approx(2.0 * 1.2816 * sd, rel=1e-4)


@pytest.mark.parametrize("crop", PROFILES)
def test_cold_uses_up_the_chilling_allowance_as_published_and_warm_air_none(crop: str) -> None:
    chilling = PROFILES[crop].chilling
    use = crop_constants(PROFILES[crop]).chilling.allowance.use_per_day
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
    assert c.ripe_days == (np.inf, np.inf, np.inf)
    celsius = np.array([-5.0, 3.0, 30.0])
    assert c.chilling.allowance.use_per_day(celsius).tolist() == [0.0, 0.0, 0.0]
    assert c.storage.allowance.use_per_day(celsius).tolist() == [0.0, 0.0, 0.0]
    assert c.ripe_life_rate(celsius).tolist() == [1.0, 1.0, 1.0]

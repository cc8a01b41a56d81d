"""What a crop's page draws, against the projection of real batches."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.toml_profile import load_profile_text
from ripenroom.season.crop_curves import CropCurves, EstimateRange, crop_curves
from ripenroom.season.moments import to_hours
from tests.records.crop.made import COLOURED, HELD, WINTER, winter_but
from tests.season.farm import NOW, YESTERDAY, batch_and_move, book_of
from tests.season.test_projector import place, project

SHIPPED = shipped_profiles()


def made(text: str) -> CropProfile:
    return load_profile_text(text, Path("made"))


def at(curves: CropCurves, celsius: float) -> int:
    return int(np.flatnonzero(curves.temperatures_c == celsius)[0])


@pytest.mark.parametrize("profile", SHIPPED.values(), ids=list(SHIPPED))
def test_every_shipped_crop_has_curves_of_one_length(profile: CropProfile) -> None:
    curves = crop_curves(profile)
    size = curves.temperatures_c.size
    feels = len(curves.feel_names)
    assert feels == (1 if profile.judged_by == "nothing" else len(FEELS))
    for edge in curves.days_to_ready:
        assert edge.shape == (feels, size)
    bands = (curves.chilling_days, curves.storage_days, curves.gate_days, curves.respiration)
    for band in (*bands, curves.days_to_ready):
        known = np.isfinite(band.low) & np.isfinite(band.mid) & np.isfinite(band.high)
        assert (band.low[known] <= band.mid[known] + 1e-9).all()
        assert (band.mid[known] <= band.high[known] + 1e-9).all()
    assert np.isfinite(curves.chilling_days.mid).any() == (profile.chilling is not None)
    assert np.isfinite(curves.gate_days.mid).any() == (profile.gate is not None)
    assert np.isfinite(curves.respiration.mid).any() == bool(profile.respiration)
    assert bool(curves.softening) == (profile.judged_by != "nothing")


@pytest.mark.parametrize("profile", SHIPPED.values(), ids=list(SHIPPED))
def test_curves_go_through_every_figure_and_both_ends_of_its_range(profile: CropProfile) -> None:
    curves = crop_curves(profile)
    chilling, gate = profile.chilling, profile.gate
    tables = [
        (curves.storage_days, profile.storage.life),
        (curves.chilling_days, chilling.allowance if chilling else ()),
        (curves.gate_days, gate.needs if gate else ()),
    ]
    for band, table in tables:
        for point in table:
            n = at(curves, point.temperature_c)
            drawn = [float(edge[n]) for edge in band]
            days = point.days
            assert drawn == pytest.approx([days.low, days.value, days.high], rel=1e-9)


@pytest.mark.parametrize("celsius", [16.0, 20.0, 24.0])
@pytest.mark.parametrize("feel", range(4))
def test_days_to_ready_are_those_of_a_batch_of_that_feel(celsius: float, feel: int) -> None:
    """Storage and chilling are out of the way, and the pulp is as warm as the air."""
    pear = replace(SHIPPED["pear"], storage=replace(SHIPPED["pear"].storage, life=()))
    counts = tuple(20 if n == feel else 0 for n in range(len(FEELS)))
    batch = batch_and_move(1, "there", crop="pear", feel_counts=counts, pulp_c=celsius)
    p = project(book_of(*place("there", celsius), *batch), NOW)
    curves = crop_curves(pear)
    where = feel, at(curves, celsius)
    picked_h = to_hours(YESTERDAY)
    for edge in EstimateRange._fields:
        days = (float(getattr(p.opens_h, edge)[0]) - picked_h) / 24.0
        assert getattr(curves.days_to_ready, edge)[where] == pytest.approx(days, abs=0.03), edge


@pytest.mark.parametrize("celsius", [0.0, 5.0, 10.0, 20.0])
def test_behind_a_gate_days_are_longer_or_never(celsius: float) -> None:
    curves = crop_curves(made(WINTER))
    ungated = crop_curves(replace(made(WINTER), gate=None))
    n = at(curves, celsius)
    plain, gated = ungated.days_to_ready.mid[0, n], curves.days_to_ready.mid[0, n]
    if celsius > 15.0:
        assert np.isnan(gated)
        assert np.isnan(curves.gate_days.mid[n])
    else:
        opens = {0.0: 30.0, 5.0: np.sqrt(300.0), 10.0: 10.0}[celsius]
        assert curves.gate_days.mid[n] == pytest.approx(opens)
        assert gated == pytest.approx(plain + opens)


def test_a_gate_that_holds_nothing_back_takes_no_time() -> None:
    open_gate = made(
        winter_but(
            "meanwhile = { value = 0, low = 0, high = 0",
            "meanwhile = { value = 1, low = 1, high = 1",
        )
    )
    plain = crop_curves(replace(open_gate, gate=None)).days_to_ready.mid
    np.testing.assert_allclose(crop_curves(open_gate).days_to_ready.mid, plain)


def test_softening_begins_at_maturity_and_is_faster_in_the_warm() -> None:
    profile = SHIPPED["pear"]
    softening = crop_curves(profile).softening
    after_a_week = []
    for celsius in sorted(softening):
        days, firmness = softening[celsius]
        assert firmness[0] == pytest.approx(profile.firmness.at_maturity_n.value)
        assert (np.diff(firmness) <= 0.0).all()
        after_a_week.append(float(np.interp(7.0, days, firmness)))
    assert after_a_week == sorted(after_a_week, reverse=True)


def test_behind_a_gate_fruit_stays_as_hard_until_it_opens() -> None:
    days, firmness = crop_curves(made(WINTER)).softening[10.0]
    held = np.interp([0.0, 9.9, 20.0], days, firmness)
    assert held[0] == pytest.approx(held[1])
    assert held[2] < held[1] - 5.0
    assert np.ptp(crop_curves(made(WINTER)).softening[20.0].firmness) == pytest.approx(0.0)


def test_a_crop_of_which_only_dates_are_known_shows_those_dates() -> None:
    curves = crop_curves(made(HELD))
    assert curves.feel_names == ("",)
    assert curves.softening == {}
    for celsius, days in ((10.0, (8.0, 12.0, 16.0)), (20.0, (3.0, 4.0, 6.0))):
        n = at(curves, celsius)
        assert curves.days_to_ready.mid[0, n] == pytest.approx(days[1], rel=0.01)
        assert curves.days_to_ready.low[0, n] < days[1] < curves.days_to_ready.high[0, n]


def test_a_crop_judged_by_colour_has_its_own_names() -> None:
    curves = crop_curves(made(COLOURED))
    assert curves.feel_names == ("green", "turning", "half", "full", "dark")
    assert curves.softening[20.0].firmness[0] == pytest.approx(97.0)


def test_a_quicker_cultivar_is_ready_sooner() -> None:
    usual, quick = crop_curves(SHIPPED["plum"]), crop_curves(SHIPPED["plum"], 2.0)
    known = np.isfinite(usual.days_to_ready.mid)
    half = usual.days_to_ready.mid[known] / 2.0
    np.testing.assert_allclose(quick.days_to_ready.mid[known], half)


def test_respiration_is_known_between_its_temperatures_only() -> None:
    profile = next(p for p in SHIPPED.values() if len(p.respiration) > 1)
    curves = crop_curves(profile)
    first, last = profile.respiration[0], profile.respiration[-1]
    inside = (curves.temperatures_c >= first.temperature_c) & (
        curves.temperatures_c <= last.temperature_c
    )
    np.testing.assert_array_equal(np.isfinite(curves.respiration.mid), inside)
    n = at(curves, first.temperature_c)
    assert curves.respiration.mid[n] == pytest.approx(first.mg_kg_h.value)

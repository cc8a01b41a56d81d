"""Crops of which only dates are published: those dates come out of the projection, no more."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile, Figure
from ripenroom.records.crop.toml_profile import load_profile_text
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import EndCause, FruitState, Projection
from ripenroom.season.projector import Projector
from tests.records.crop.made import HELD
from tests.season.farm import NOW, YESTERDAY, batch_and_move, book_of
from tests.season.test_projector import LISBON, place

HELD_CROP = load_profile_text(HELD, Path("made"))
AS_PICKED = load_profile_text(
    HELD.partition("[ripening]")[0] + "[fruit]" + HELD.partition("[fruit]")[2], Path("made")
)
SHIPPED = {
    key: profile
    for key, profile in shipped_profiles().items()
    if profile.judged_by == "nothing" and profile.gate is None
}


def kept_at(celsius: float, profile: CropProfile) -> Projection:
    batch = batch_and_move(1, "there", crop=profile.key, feel_counts=None, pulp_c=celsius)
    book = book_of(*place("there", celsius, half_cooling_h=0.05), *batch)
    projector = Projector({profile.key: profile}, LISBON)
    return projector.projection(projector.outlook(book, NOW), NOW)


def days(hours: np.ndarray) -> float:
    return (float(hours[0]) - to_hours(YESTERDAY)) / 24.0


@pytest.mark.parametrize(("celsius", "low", "mid", "high"), [(10.0, 8, 12, 16), (20.0, 3, 4, 6)])
def test_it_opens_after_the_published_days(
    celsius: float, low: float, mid: float, high: float
) -> None:
    opens = kept_at(celsius, HELD_CROP).opens_h
    assert days(opens.mid) == pytest.approx(mid, rel=0.01)
    # One doubt serves all temperatures, so single ranges come out a little wider or narrower.
    assert days(opens.low) == pytest.approx(low, rel=0.2)
    assert days(opens.high) == pytest.approx(high, rel=0.2)


def test_its_ripe_life_closes_it() -> None:
    p = kept_at(20.0, HELD_CROP)
    assert p.end_cause[0] == EndCause.RIPE_LIFE
    # Fruit differ by a tenth of the way to ready: the first fifth is ready a third of a day sooner.
    assert days(p.closes_h.mid) == pytest.approx(4.0 + 3.0 - 0.34, abs=0.05)
    assert p.wont_ripen[0] < 1e-6


def test_in_the_cold_its_storage_life_closes_it_sooner() -> None:
    hardy = replace(HELD_CROP.storage, freezing_c=Figure(-9.0, -9.5, -8.5, "estimate"))
    p = kept_at(-5.0, replace(HELD_CROP, storage=hardy))
    assert p.end_cause[0] == EndCause.STORAGE_LIFE
    assert days(p.closes_h.mid) == pytest.approx(25.0, rel=1e-3)


def test_fruit_eaten_as_picked_is_open_at_the_pick_and_ended_by_its_storage_life() -> None:
    p = kept_at(5.0, AS_PICKED)
    assert days(p.opens_h.mid) == pytest.approx(0.0, abs=1e-6)
    assert p.state[0] == FruitState.READY
    assert p.end_cause[0] == EndCause.STORAGE_LIFE
    closes = p.closes_h
    assert [days(edge) for edge in (closes.low, closes.mid, closes.high)] == pytest.approx(
        [20.0, 25.0, 30.0], rel=1e-3
    )


@pytest.mark.parametrize("key", SHIPPED)
def test_every_shipped_one_tells_the_days_it_was_given(key: str) -> None:
    profile = SHIPPED[key]
    published = profile.ripening.days if profile.ripening else ()
    for at in published:
        p = kept_at(at.temperature_c, profile)
        opens = days(p.opens_h.mid)
        ended = days(p.closes_h.mid) if np.isnan(opens) else np.inf
        assert opens == pytest.approx(at.days.value, rel=0.02) or ended <= at.days.value * 1.02
    if not published:
        assert days(kept_at(5.0, profile).opens_h.mid) == pytest.approx(0.0, abs=1e-6)

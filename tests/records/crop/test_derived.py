"""Crops of which only dates are published: what the made-up marks carry, through to the dates."""

import math
from pathlib import Path

import numpy as np
import pytest

from ripenroom.records.crop.derived import (
    derived_feel,
    derived_firmness,
    derived_rate,
    derived_wont_ripen,
)
from ripenroom.records.crop.profile import DaysAt, Figure
from ripenroom.records.crop.toml_profile import load_profile_text
from tests.records.crop.made import HELD, refusal_of

DAYS = tuple(
    DaysAt(celsius, Figure(days, low, high, "made"))
    for celsius, days, low, high in ((10.0, 12.0, 8.0, 16.0), (20.0, 4.0, 3.0, 6.0))
)


def age(newtons: float) -> float:
    return math.log((100.0 - newtons) / newtons)


def test_fruit_is_ready_after_the_published_days_at_each_temperature() -> None:
    firmness, rate = derived_firmness(ripens=True), derived_rate(DAYS)
    way = age(firmness.ready_n.value) - age(firmness.at_maturity_n.value)
    for at, speed in zip(DAYS, rate.by_temperature, strict=True):
        assert speed.temperature_c == at.temperature_c
        assert way / speed.per_day.value == pytest.approx(at.days.value, rel=1e-4)
        assert way / speed.per_day.high == pytest.approx(at.days.low, rel=1e-4)
        assert way / speed.per_day.low == pytest.approx(at.days.high, rel=1e-4)
    assert rate.reference_c in [at.temperature_c for at in DAYS]


def test_fruit_that_is_eaten_as_picked_begins_beyond_ready_and_hardly_moves() -> None:
    firmness, rate = derived_firmness(ripens=False), derived_rate(())
    assert firmness.at_maturity_n.value < firmness.ready_n.value
    assert rate.per_day.value * 365.0 < age(firmness.too_soft_n.value) - age(
        firmness.at_maturity_n.value
    )


def test_the_marks_are_in_order_and_all_of_it_ripens() -> None:
    for ripens in (True, False):
        marks = derived_firmness(ripens)
        assert marks.lowest_n.value < marks.too_soft_n.value < marks.ready_n.value
        assert marks.at_maturity_n.value < marks.highest_n.value
        assert derived_wont_ripen().half_n.value > 2.0 * marks.highest_n.value
    feel = derived_feel()
    edges = [feel.slight_give_n, feel.gives_n, feel.soft_n, feel.too_soft_n]
    values = [edge.value for edge in edges]
    assert values == sorted(values, reverse=True)


def test_every_made_up_figure_says_so() -> None:
    profile = load_profile_text(HELD, Path("made"))
    assert profile.judged_by == "nothing"
    for figure in (
        profile.firmness.ready_n,
        profile.feel.gives_n,
        profile.rate.per_day,
        profile.fruit_spread_age,
        profile.wont_ripen.half_n,
    ):
        assert "Made up" in figure.note


def test_marks_of_a_clock_are_refused_where_there_is_none() -> None:
    mark = 'ready = { value = 5, low = 4, high = 6, unit = "N", source = "made" }'
    for section in ("[rate]\nreference_c = 20", f"[firmness]\n{mark}", "[wont_ripen]"):
        name = section.partition("]")[0].removeprefix("[")
        refusal = refusal_of(HELD, "[fruit]", f"{section}\n\n[fruit]")
        assert (refusal.key, refusal.reason) == (name, "unknown key")
    spread = 'spread = { value = 1, low = 1, high = 1, unit = "age", source = "made" }'
    refusal = refusal_of(HELD, "[fruit]", f"[fruit]\n{spread}")
    assert refusal.key == "fruit.spread"


def test_one_published_temperature_is_enough() -> None:
    first, second, rest = HELD.partition("[[ripening.days]]\nat_c = 20")
    one = first + rest.partition("[ripe_life]")[1] + rest.partition("[ripe_life]")[2]
    assert second
    profile = load_profile_text(one, Path("made"))
    assert [at.temperature_c for at in profile.rate.by_temperature] == [10.0]
    assert np.isfinite(profile.rate.per_day.value)

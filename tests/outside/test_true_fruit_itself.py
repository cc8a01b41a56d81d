"""The simulation against what can be worked out without steps; nothing of the program's science."""

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from tests.outside.drawn_fruit import Ages, drawn, evenly
from tests.outside.true_dates import dates_of
from tests.outside.true_fruit import GAS_KJ_MOL_K, KELVIN, follow_fruit, ready_age, too_soft_age
from tests.outside.true_pulp import Journey, chilling_used, course_of

AGES = Ages(mean=-1.0, doubt_sd=0.4, fruit_sd=0.6, ripens=0.9)


@pytest.mark.parametrize("celsius", [4.0, 12.0, 20.0, 28.0])
@pytest.mark.parametrize("crop", ["pawpaw", "avocado", "peach", "tomato", "mango"])
def test_at_one_temperature_it_is_the_closed_form(crop: str, celsius: float) -> None:
    profile = shipped_profiles()[crop]
    fruit = drawn(profile, AGES, 2000, seed=1)
    course = course_of(Journey(celsius, 1.0, ((0.0, celsius),)), 960.0)
    fates = follow_fruit(profile, fruit, course)

    rate, life = profile.rate, profile.ripe_life
    assert rate.heat_kj_mol is not None
    assert rate.heat_midpoint_c is not None
    assert life is not None
    inverse, reference = 1.0 / (celsius + KELVIN), 1.0 / (20.0 + KELVIN)
    middle, heat = 1.0 / (rate.heat_midpoint_c.value + KELVIN), rate.heat_kj_mol.value
    per_h = fruit.rate_per_day / 24.0
    per_h *= np.exp(fruit.activation_kj_mol / GAS_KJ_MOL_K * (reference - inverse))
    per_h *= 1.0 + np.exp(heat / GAS_KJ_MOL_K * (middle - reference))
    per_h /= 1.0 + np.exp(heat / GAS_KJ_MOL_K * (middle - inverse))
    ready_h = np.maximum((ready_age(profile) - fruit.age) / per_h, 0.0)
    life_h = 24.0 * fruit.life_days / fruit.life_q10 ** ((celsius - life.reference_c) / 10.0)
    past_h = np.minimum((too_soft_age(profile) - fruit.age) / per_h, ready_h + life_h)

    # What happens within the last step is left out: it may be of either side by rounding.
    for found, true in ((fates.ready_h, ready_h), (fates.past_h, np.maximum(past_h, 0.0))):
        assert found[true < 959.0] == pytest.approx(true[true < 959.0], abs=1e-6)
        assert np.isinf(found[true > 961.0]).all()


def test_pulp_goes_half_way_in_each_half_cooling_time() -> None:
    course = course_of(Journey(26.0, 8.0, ((0.0, 4.0), (24.0, 20.0))), 72.0)
    middle_h = (course.hours[:-1] + course.hours[1:]) / 2.0
    cooled = 4.0 + 22.0 * 0.5 ** (middle_h / 8.0)
    warmed = 20.0 + (22.0 / 8.0 - 16.0) * 0.5 ** ((middle_h - 24.0) / 8.0)
    assert course.pulp_c == pytest.approx(np.where(middle_h < 24.0, cooled, warmed), abs=1e-3)


def test_a_finer_course_changes_nothing_of_note() -> None:
    """The pulp changes within a step: by the middle of it, cold counts as by ever finer steps."""
    profile = shipped_profiles()["mango"]
    journey = Journey(26.0, 8.0, ((0.0, 4.0), (60.0, 20.0)))
    fine_h = np.linspace(0.0, 60.0, 200_001)
    pulp_c = 4.0 + 22.0 * 0.5 ** ((fine_h[:-1] + fine_h[1:]) / 16.0)
    assert profile.chilling is not None
    celsius = [at.temperature_c for at in profile.chilling.allowance]
    days = np.log([at.days.value for at in profile.chilling.allowance])
    below = pulp_c < profile.chilling.threshold_c.value
    true = float((np.exp(-np.interp(pulp_c, celsius, days)) * below * np.diff(fine_h)).sum() / 24.0)
    course = course_of(journey, 60.0)
    assert float(chilling_used(course, profile)[-1]) == pytest.approx(true, abs=2e-4)


def test_dates_of_even_fruit_are_those_of_their_bell_curve() -> None:
    """At 20 C a crop softens at its own speed; a fifth of a Normal lies 0.8416 sds below its
    mean."""
    profile = shipped_profiles()["pawpaw"]
    course = course_of(Journey(20.0, 1.0, ((0.0, 20.0),)), 480.0)
    dates = dates_of(follow_fruit(profile, evenly(profile, AGES, 20_000), course), np.inf, 480.0)
    assert profile.ripe_life is not None
    assert profile.rate.reference_c == profile.ripe_life.reference_c == 20.0
    per_day, life_days = profile.rate.per_day.value, profile.ripe_life.days.value
    opens_days = (ready_age(profile) + 1.0) / per_day
    fifth_soft_days = (too_soft_age(profile) + 1.0 - 0.8416 * 0.6) / per_day
    fifth_spent_days = opens_days - 0.8416 * 0.6 / per_day + life_days
    assert dates.opens_h == pytest.approx(24.0 * opens_days, abs=0.1)
    assert dates.fifth_past_h == pytest.approx(
        24.0 * min(fifth_soft_days, fifth_spent_days), abs=0.1
    )

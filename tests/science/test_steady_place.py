"""Days in one constant temperature, held to allowances and gates followed step by step."""

import numpy as np
import pytest
from scipy.stats import norm

from ripenroom.science.allowances import Allowance
from ripenroom.science.spread import shares_beyond
from ripenroom.science.steady_place import (
    advance_until,
    days_behind_gate,
    days_counted,
    days_until_used,
    straight_in_log,
)


def test_an_allowance_lasts_as_published_and_for_ever_in_the_warm() -> None:
    allowed = Allowance((0.0, 5.0), (40.0, 10.0), none_from_c=12.0)
    found = days_until_used(allowed, np.array([0.0, 2.5, 5.0, 12.0]))
    assert found[:3] == pytest.approx(
        [40.0, 20.0, 10.0]
    )  # ln L runs straight: halfway is 40 / 4 ** 0.5
    assert np.isnan(found[3])


def test_half_the_fruit_is_there_at_the_ends_of_the_range() -> None:
    """At either end the mean age has come to the mark with 10 and 90 % of all that is doubted."""
    mean, doubt, rate_sd = np.array([-1.0]), np.array([0.4]), np.array([0.15])
    sooner, middle, later = advance_until(2.0, mean, doubt, rate_sd)
    assert middle == pytest.approx([3.0])
    advance = np.stack([sooner, later], axis=1)
    of_mean = mean[:, None], advance, doubt[:, None], rate_sd[:, None]
    (there,) = shares_beyond((np.full((1, 1), 2.0),), *of_mean)
    assert there[0] == pytest.approx([0.1, 0.9], abs=1e-3)


@pytest.mark.parametrize(("need_days", "width"), [(10.0, 0.0), (10.0, 0.4), (np.nan, 0.0)])
def test_behind_a_gate_days_are_those_of_a_walk_by_hours(need_days: float, width: float) -> None:
    """Until a gate opens a quarter counts; by and by means in parts, here eleven even quantiles."""
    parts = [1.0]
    if width:
        parts = np.exp(width * norm.ppf((np.arange(11) + 0.5) / 11)).tolist()
    opens = [np.inf if np.isnan(need_days) else part * need_days for part in parts]
    step, counted = 0.001, 0.0
    for hour in np.arange(0.0, 30.0, step) + step / 2.0:
        counted += step * (0.25 + 0.75 * np.mean([hour > at for at in opens]))
    days = days_counted(np.array([30.0]), np.array([need_days]), width, 0.25)
    assert days == pytest.approx([counted], abs=0.002)
    back = days_behind_gate(days, np.array([need_days]), width, 0.25)
    assert back == pytest.approx([30.0])


def test_logs_run_straight_between_published_temperatures_only() -> None:
    found = straight_in_log(np.array([-1.0, 0.0, 5.0, 10.0, 11.0]), [0.0, 10.0], [4.0, 16.0])
    assert found[1:4] == pytest.approx([4.0, 8.0, 16.0])
    assert np.isnan(found[[0, 4]]).all()

"""Growing degree hours at the curve's marks, and over a day."""

import numpy as np
import pytest

from ripenroom.science.orchard.growing_hours import (
    DAYS_AFTER_BLOOM,
    MANY_HOURS,
    growing_degree_hours,
    growing_degree_hours_of_days,
)


def test_marks_of_the_curve() -> None:
    """Anderson, Richardson & Kesner 1986: none at 4 C or below and at 36 C or above, most at 25 C;
    half of that half-way up, and the falling quarter wave a third of the way down."""
    found = growing_degree_hours([-3.0, 4.0, 14.5, 25.0, 36.0, 40.0])
    assert found == pytest.approx([0.0, 0.0, 10.5, 21.0, 0.0, 0.0], abs=1e-9)
    third = 25.0 + 11.0 / 3.0
    assert float(growing_degree_hours(third)) == pytest.approx(21.0 * 0.5, abs=1e-9)


def test_a_day_is_its_wave_hour_by_hour() -> None:
    part = (np.arange(86_400) + 0.5) / 86_400
    for low, high in ((2.0, 18.0), (10.0, 33.0), (12.0, 12.0), (-8.0, 2.0)):
        wave = (low + high) / 2 + (high - low) / 2 * np.sin(2 * np.pi * part)
        summed = 24.0 * growing_degree_hours(wave).mean()
        assert float(growing_degree_hours_of_days(low, high)) == pytest.approx(summed, abs=0.6)


def test_a_warm_spring_passes_six_thousand_hours() -> None:
    """Lopez & DeJong 2007: above 6,000 in the 30 days after full bloom harvest is early. Davis,
    California, has 7 and 20 C in March (from memory), 2004 was far warmer."""
    usual = DAYS_AFTER_BLOOM * float(growing_degree_hours_of_days(7.0, 20.0))
    warm = DAYS_AFTER_BLOOM * float(growing_degree_hours_of_days(9.0, 24.0))
    assert 0.8 * MANY_HOURS < usual < 1.2 * MANY_HOURS < warm

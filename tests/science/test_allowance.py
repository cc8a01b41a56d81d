"""Allowances by cold: what a day uses up."""

import numpy as np
import pytest

from ripenroom.science.allowances import Allowance

PAWPAW = Allowance((0.0, 2.0, 4.0), (14.0, 21.0, 28.0), none_from_c=6.0)


@pytest.mark.parametrize(("celsius", "days"), [(0.0, 14.0), (2.0, 21.0), (4.0, 28.0)])
def test_published_days_use_up_the_whole(celsius: float, days: float) -> None:
    assert PAWPAW.use_per_day(celsius) * days == pytest.approx(1.0)


def test_between_published_temperatures_the_log_of_days_runs_straight() -> None:
    assert 1.0 / PAWPAW.use_per_day(1.0) == pytest.approx(np.sqrt(14.0 * 21.0))


def test_colder_than_published_counts_as_the_coldest() -> None:
    assert PAWPAW.use_per_day(-3.0) == PAWPAW.use_per_day(0.0)


def test_above_the_warmest_its_days_hold_until_nothing_is_used() -> None:
    assert PAWPAW.use_per_day(5.999) == pytest.approx(1.0 / 28.0)
    assert PAWPAW.use_per_day(6.0) == 0.0
    assert PAWPAW.use_per_day(25.0) == 0.0


def test_any_shape() -> None:
    celsius = np.array([[0.0, 4.0, 9.0]])
    np.testing.assert_allclose(PAWPAW.use_per_day(celsius), [[1 / 14, 1 / 28, 0.0]], rtol=1e-12)

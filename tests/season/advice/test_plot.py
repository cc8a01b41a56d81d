"""The flat part of a plot, and what is advised in it."""

import numpy as np

from ripenroom.season.advice.set_points import SettingGrid


def curve(values: list[float], today_c: float, allowed: list[bool] | None = None) -> SettingGrid:
    """Values at 0, 1, 2 … C."""
    celsius = np.arange(float(len(values)))
    mask = np.ones(len(values), bool) if allowed is None else np.array(allowed)
    return SettingGrid((celsius,), (today_c,), np.array(values), mask, 0.01)


def test_today_is_advised_where_it_is_as_good_as_any() -> None:
    plot = curve([80.0, 99.5, 100.0, 99.2, 90.0], 3.0)
    assert plot.advised == plot.today == (3,)
    assert plot.flat(0) == (1, 3)


def test_else_the_nearest_setting_that_is() -> None:
    plot = curve([80.0, 99.5, 100.0, 99.2, 90.0], 4.0)
    assert (plot.today, plot.advised, plot.flat(0)) == ((4,), (3,), (1, 3))
    plot = curve([80.0, 99.5, 100.0, 99.2, 90.0], 0.0)
    assert plot.advised == (1,)


def test_of_two_equally_near_the_better_one() -> None:
    assert curve([0.0, 99.5, 50.0, 100.0], 2.0).advised == (3,)


def test_a_flat_part_ends_where_it_is_broken() -> None:
    assert curve([100.0, 90.0, 99.5, 99.6], 3.0).flat(0) == (2, 3)


def test_what_is_not_allowed_is_neither_advised_nor_the_measure() -> None:
    plot = curve([200.0, 100.0, 99.5, 90.0], 0.0, [False, True, True, True])
    assert (plot.best, plot.advised, plot.flat(0)) == (100.0, (1,), (1, 2))
    nothing = curve([200.0, 100.0], 1.0, [False, False])
    assert (nothing.best, nothing.advised) == (200.0, (0,))


def test_two_places_are_moved_as_little_as_possible_together() -> None:
    value = np.array([[100.0, 99.9, 50.0], [99.5, 99.4, 50.0], [50.0, 50.0, 50.0]])
    axes = (np.array([0.0, 2.0, 4.0]), np.array([15.0, 18.0, 21.0]))
    plot = SettingGrid(axes, (4.0, 21.0), value, np.ones((3, 3), bool), 0.01)
    assert (plot.today, plot.advised) == ((2, 2), (1, 1))
    assert (plot.flat(0), plot.flat(1)) == ((0, 1), (0, 1))
    assert value[plot.line(0, plot.advised)].tolist() == [99.9, 99.4, 50.0]
    assert value[plot.line(1, plot.today)].tolist() == [50.0, 50.0, 50.0]

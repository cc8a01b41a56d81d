"""Axes of the picture of published statements."""

import math

import pytest

from ripenroom.window.crops.published.claims import Scale


def test_a_logarithmic_axis_has_equal_steps_for_equal_factors() -> None:
    scale = Scale(1.0, 100.0, log=True)
    assert [scale.at(value) for value in (1.0, 10.0, 100.0)] == pytest.approx([0.0, 0.5, 1.0])


@pytest.mark.parametrize("scale", [Scale(1.0, 100.0, log=True), Scale(1.0, 100.0)])
def test_what_lies_beyond_an_axis_stands_at_its_end(scale: Scale) -> None:
    assert [scale.at(end) for end in (-math.inf, 0.0, 1e6, math.inf)] == [0.0, 0.0, 1.0, 1.0]


def test_an_axis_holds_every_number_that_there_is() -> None:
    values = [2.0, math.nan, 30.0, math.inf]
    for scale in (Scale.over(values), Scale.by_logarithm(values, 0.5)):
        assert scale.least <= 2.0
        assert scale.most >= 30.0
    assert Scale.over(values).least == 0.0
    assert Scale.over([-1.7, -1.4]).least < -1.7
    close = Scale.over([30.0, 30.0])
    assert 0.0 < close.at(30.0) < 1.0


def test_days_below_the_shortest_do_not_stretch_the_axis() -> None:
    assert Scale.by_logarithm([0.0, 0.01, 2.0, 20.0], 0.5).least > 0.5


@pytest.mark.parametrize("most", [2, 3, 6, 12])
def test_ticks_are_few_and_on_the_axis(most: int) -> None:
    for scale in (Scale(0.0, 100.0), Scale(-1.83, -1.36), Scale(0.0, 873.0)):
        ticks = scale.ticks(most)
        assert 1 <= len(ticks) <= most + 1
        assert all(scale.least <= tick <= scale.most for tick in ticks)


def test_ticks_of_days_are_round_numbers() -> None:
    scale = Scale(0.6, 70.0, log=True)
    assert scale.ticks(8) == [1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
    assert scale.ticks(4) == [1.0, 3.0, 10.0, 30.0]
    assert scale.ticks(2) == [1.0, 10.0]

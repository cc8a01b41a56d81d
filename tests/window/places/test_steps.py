"""Set points in thermostat steps."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.units import TemperatureUnit
from ripenroom.window.places.set_point import SetPointSteps


def test_half_degrees_celsius_and_whole_degrees_fahrenheit() -> None:
    celsius, fahrenheit = SetPointSteps("C"), SetPointSteps("F")
    assert celsius.shown(celsius.of_celsius(3.6)) == 3.5
    assert fahrenheit.shown(fahrenheit.of_celsius(3.6)) == 38.0


@pytest.mark.parametrize("unit", ["C", "F"])
@given(data=st.data())
def test_every_step_goes_there_and_back(unit: TemperatureUnit, data: st.DataObject) -> None:
    steps = SetPointSteps(unit)
    step = data.draw(st.integers(steps.lowest, steps.highest))
    assert steps.of_celsius(steps.in_celsius(step)) == step
    assert steps.of_shown(steps.shown(step)) == step

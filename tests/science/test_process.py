"""Processes of several crops at once."""

import numpy as np

from ripenroom.science.temperature import (
    AnyResponse,
    Process,
    Response,
    TabulatedResponse,
    rates_of,
)


def test_rates_of_several_crops_are_those_of_each_alone() -> None:
    responses: list[AnyResponse] = [
        Response(20.0, 120.0, 27.0, 200.0),
        Response(20.0, 80.0),
        TabulatedResponse((0.0, 10.0, 20.0), (0.1, 0.6, 1.0)),
    ]
    crops = [Process(response.relative_rate) for response in responses]
    celsius = np.array([[3.0, 12.0], [25.0, 31.0], [0.0, 20.0], [8.0, 40.0]])
    lines = np.array([2, 0, 1, 0])
    together = rates_of(crops, lines, celsius)
    assert together.shape == celsius.shape
    for line, crop in enumerate(lines):
        np.testing.assert_allclose(
            together[line], responses[crop].relative_rate(celsius[line]), rtol=1e-13
        )

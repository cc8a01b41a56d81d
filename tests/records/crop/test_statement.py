"""When what the program says meets what is published."""

import math

import pytest

from ripenroom.records.crop.statement import Asks, Statement


def of(low: float | None, high: float | None) -> Statement:
    return Statement(Asks.READY, low, high, rounding=0.5, kind="trial", source="made")


@pytest.mark.parametrize(
    ("interval", "said", "meets"),
    [
        ((3.0, 5.0), (4.0, 9.0), True),
        ((3.0, 5.0), (5.5, 9.0), True),
        ((3.0, 5.0), (5.6, 9.0), False),
        ((3.0, 5.0), (1.0, 2.5), True),
        ((3.0, 5.0), (1.0, 2.4), False),
        ((3.0, 5.0), (1.0, 90.0), True),
        ((3.0, None), (80.0, 90.0), True),
        ((3.0, None), (1.0, 2.0), False),
        ((None, 5.0), (0.0, 0.1), True),
        ((None, 5.0), (6.0, 7.0), False),
        ((3.0, 5.0), (4.0, math.nan), True),
        ((3.0, 5.0), (math.nan, math.nan), False),
        ((3.0, None), (math.nan, math.nan), True),
    ],
)
def test_a_range_meets_an_interval_where_they_touch(
    interval: tuple[float | None, float | None], said: tuple[float, float], meets: bool
) -> None:
    assert of(*interval).meets(*said) == meets

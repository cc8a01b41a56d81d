"""That answers which differ in one bit are told apart, and equal ones are not."""

import math
from dataclasses import dataclass

import numpy as np
import pytest

from ripenroom.season.projection import FruitState
from tests.answers.flat import Compared, compared, flat


@dataclass(frozen=True)
class Found:
    days: float
    column: np.ndarray
    by_name: dict[str, float]
    kept: object = None


def found(days: float, *column: float) -> Found:
    return Found(days, np.array(column), {"b": 2.0, "a": 1.0})


def test_the_same_is_the_same_whatever_is_carried_along() -> None:
    one, other = found(1.5, math.nan, 3.0), Found(1.5, np.array([math.nan, 3.0]), {"a": 1, "b": 2})
    assert compared(flat(one), flat(other)) == Compared(5, 3, 0, 0)
    assert compared(flat(Found(0.0, np.zeros(0), {}, object())), flat(found(0.0)))[2:] == (2, 2)


@pytest.mark.parametrize("last", [math.nextafter(3.0, 4.0), -3.0, math.nan])
def test_one_bit_is_a_difference(last: float) -> None:
    one, other = flat(found(1.5, 2.0, 3.0)), flat(found(1.5, 2.0, last))
    assert compared(one, other)[2:] == (1, 0)


def test_zeros_of_other_signs_differ() -> None:
    assert compared(flat(0.0), flat(-0.0)).different_numbers == 1


def test_what_only_one_has_differs() -> None:
    assert compared(flat([1.0, 2.0]), flat([1.0])) == Compared(2, 1, 1, 1)


def test_what_is_no_answer_is_refused() -> None:
    assert flat(FruitState.READY).texts == (str(FruitState.READY.value),)
    with pytest.raises(TypeError):
        flat(object())

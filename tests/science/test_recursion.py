"""A first-order recursion against going through it step by step."""

import numpy as np
import pytest

from ripenroom.science.recursion import first_order
from ripenroom.science.softening import Floats


def step_by_step(keep: Floats, gain: Floats, first: float) -> list[float]:
    found = [first]
    for kept, more in zip(keep.tolist(), gain.tolist(), strict=True):
        found.append(kept * found[-1] + more)
    return found


@pytest.mark.parametrize("size", [0, 1, 2, 3, 7, 8, 9, 1_000, 20_001])
@pytest.mark.parametrize("least", [0.0, 0.9, 0.9999])
def test_as_step_by_step(size: int, least: float) -> None:
    rng = np.random.default_rng(size)
    keep, gain = rng.uniform(least, 1.0, size), rng.normal(0.0, 1.0, size)
    found = first_order(keep, gain, -3.0)
    assert found == pytest.approx(step_by_step(keep, gain, -3.0), rel=1e-12, abs=1e-11)


def test_what_never_fades_adds_up() -> None:
    assert first_order(np.ones(100), np.ones(100)) == pytest.approx(np.arange(101.0))


def test_its_input_stays_as_it_is() -> None:
    keep, gain = np.full(9, 0.5), np.ones(9)
    first_order(keep, gain, 1.0)
    assert (keep == 0.5).all()
    assert (gain == 1.0).all()

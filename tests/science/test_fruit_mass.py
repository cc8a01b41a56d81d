"""What a farm's fruit weigh moves from the crop's figure to what was weighed."""

import numpy as np
import pytest

from ripenroom.science.fruit_mass import BATCH_SD, FRUIT_SD, FruitMass, batch_mass_kg, fruit_mass

FIGURE = FruitMass(0.150, 0.075, 0.300)


def weighed(*batches: tuple[float, float]) -> FruitMass:
    count, weight_kg = np.array(batches, dtype=float).reshape(-1, 2).T
    return fruit_mass(FIGURE, count, weight_kg)


def test_without_weighed_fruit_it_is_the_figure_with_its_range() -> None:
    assert weighed() == pytest.approx(FIGURE)


def test_many_weighed_batches_go_before_the_figure_and_narrow_the_range() -> None:
    found = weighed(*[(100, 22.0)] * 30)
    assert found.usual_kg == pytest.approx(0.22, rel=0.02)
    assert found.high_kg / found.low_kg < 1.1


def test_one_batch_of_two_fruit_says_less_than_one_of_a_hundred() -> None:
    few, many = weighed((2, 0.44)), weighed((100, 22.0))
    assert FIGURE.usual_kg < few.usual_kg < many.usual_kg < 0.22


def test_the_range_holds_the_true_mass_four_times_in_five() -> None:
    # Farms, batches and fruit drawn as the module says they differ.
    random = np.random.default_rng(20)
    sd = np.log(FIGURE.high_kg / FIGURE.low_kg) / (2 * 1.2815515655446004)
    held = 0
    for _ in range(1000):
        true = np.log(FIGURE.usual_kg) + sd * random.standard_normal()
        count = random.integers(5, 80, size=3).astype(float)
        error = random.standard_normal(3) * np.sqrt(BATCH_SD**2 + FRUIT_SD**2 / count)
        found = fruit_mass(FIGURE, count, count * np.exp(true + error))
        held += found.low_kg <= np.exp(true) <= found.high_kg
    assert held / 1000 == pytest.approx(0.8, abs=0.04)


def test_a_batch_of_many_weighed_fruit_is_nearly_what_it_weighed() -> None:
    """Batches and fruit drawn as the module says they differ: by the estimate the mean is off by
    less than by the reading, and by what is usual."""
    random = np.random.default_rng(21)
    off = np.zeros(3)
    for _ in range(2000):
        count = int(random.integers(1, 60))
        true = 0.2 * np.exp(BATCH_SD * random.standard_normal())
        reading = true * np.exp(FRUIT_SD / np.sqrt(count) * random.standard_normal())
        found = batch_mass_kg(0.2, count, reading * count)
        off += np.log([found / true, reading / true, 0.2 / true]) ** 2
    assert off[0] < 0.9 * off[1]
    assert off[0] < 0.9 * off[2]
    assert batch_mass_kg(0.2, 0, 0.0) == 0.2

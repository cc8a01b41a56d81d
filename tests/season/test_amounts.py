"""How many fruit a batch is."""

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.amounts import fruit_mass_kg, fruit_picked
from tests.season.farm import batch_and_move


def test_a_count_goes_before_a_weight() -> None:
    batch, _ = batch_and_move(1, count=7, weight_kg=90.0)
    assert fruit_picked(batch, 0.15) == 7.0


def test_a_weight_is_so_many_usual_fruit() -> None:
    batch, _ = batch_and_move(1, count=None, weight_kg=3.0)
    assert fruit_picked(batch, 0.15) == pytest.approx(20.0)


def test_neither_is_no_fruit() -> None:
    assert fruit_picked(batch_and_move(1, count=None)[0], 0.15) == 0.0


def test_the_usual_fruit_is_the_profiles() -> None:
    assert 0.05 < fruit_mass_kg(shipped_profiles()["pawpaw"]) < 0.4

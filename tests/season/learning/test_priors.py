"""What is believed of crops and cultivars before any check."""

import numpy as np
import pytest

from ripenroom.records.check import Lesson
from ripenroom.records.orchard import Cultivar
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learning.priors import LearningPriors, kinds
from tests.season.farm import book_of
from tests.season.learning.checks import CROPS

CONSTANTS = ConstantsOfCrops(CROPS)
PAWPAW = CropKind("pawpaw")
QUICK = Cultivar(id="quick", crop="pawpaw", name="Quick", rate_factor=1.3)
SLOW = Cultivar(id="slow", crop="pawpaw", name="Slow", rate_factor=0.8)


def lesson(cultivar: str | None, log_rate: float, season: str = "2025") -> Lesson:
    return Lesson(
        id=f"{season} {cultivar}",
        crop="pawpaw",
        cultivar=cultivar,
        log_rate=log_rate,
        log_rate_sd=0.05,
        checks=20,
        taught_by=season,
    )


def of_pawpaw(*lessons: Lesson) -> LearningPriors:
    return kinds(book_of(QUICK, SLOW, *lessons), [PAWPAW], CONSTANTS)


def test_every_crop_has_fruit_without_a_cultivar_too() -> None:
    found = of_pawpaw()
    assert found.cultivar_keys == ((PAWPAW, None), (PAWPAW, "quick"), (PAWPAW, "slow"))
    assert np.exp(found.cultivars.log_mean) == pytest.approx([1.0, 1.3, 0.8])


def test_doubts_of_farm_and_cultivar_together_are_the_books() -> None:
    found = of_pawpaw()
    together = np.hypot(found.crops.log_sd[0], found.cultivars.log_sd)
    assert together == pytest.approx(CONSTANTS[PAWPAW].rate_sd)


def test_a_lesson_of_the_crop_moves_and_narrows_the_farm() -> None:
    plain, taught = of_pawpaw(), of_pawpaw(lesson(None, 0.3))
    assert taught.crops.log_sd[0] < plain.crops.log_sd[0]
    assert 0.2 < taught.crops.log_mean[0] < 0.3
    assert taught.told.log_rate.size == 0
    assert set(taught.taught_by) == {("2025",)}


def test_a_lesson_of_a_cultivar_is_told_of_it_alone_whatever_its_case() -> None:
    found = of_pawpaw(lesson("QUICK", 0.4))
    assert found.told.cultivar.tolist() == [1]
    assert found.told.log_sd[0] > 0.05
    assert found.taught_by == ((), ("2025",), ())


def test_several_seasons_are_surer_than_one() -> None:
    one, two = of_pawpaw(lesson(None, 0.3)), of_pawpaw(lesson(None, 0.3), lesson(None, 0.3, "2024"))
    assert two.crops.log_sd[0] < one.crops.log_sd[0]
    assert set(two.taught_by[0]) == {"2024", "2025"}


def test_a_lesson_of_a_cultivar_that_is_not_grown_says_nothing() -> None:
    found = of_pawpaw(lesson("Gone", 0.4))
    assert found.told.cultivar.size == 0
    assert found.crops.log_mean[0] == 0.0

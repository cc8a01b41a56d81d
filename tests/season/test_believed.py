"""What checks taught, in the columns of batches."""

import numpy as np
import pytest

from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.projector import Projector
from tests.season.farm import NOW
from tests.season.learning.checks import CROPS, FAST, ZONE, farm, learned


def test_columns_are_those_of_the_belief() -> None:
    book = farm(*FAST)
    found = learned(book)
    plain, _ = Projector(CROPS, ZONE).travel(book, NOW)
    lines, _ = Projector(CROPS, ZONE, found).travel(book, NOW)
    assert plain.batches.checked is None
    checked = lines.batches.checked
    assert checked is not None
    assert found.belief is not None
    line = lines.ids.index("batch 1")
    age = found.belief.ages["batch 1"]
    assert lines.batches.mean_age[line] == age.mean_age
    assert (checked.age_rate[line], checked.known_h[line]) == (age.age_rate, age.known_h)
    other = lines.ids.index("batch 2")
    assert lines.batches.mean_age[other] == plain.batches.mean_age[other]
    assert checked.age_rate[other] == 0.0
    assert checked.known_h[other] == lines.batches.picked_h[other]
    odds = np.exp(found.belief.able[CropKind("pawpaw")].log_odds)
    assert odds > 1.1
    by_book, by_now = (own / (1.0 - own) for own in (plain.batches.ripens, lines.batches.ripens))
    assert by_now == pytest.approx(odds * by_book)


def test_the_slope_that_was_found_is_that_of_the_clocks() -> None:
    found = learned(farm(*FAST))
    assert found.belief is not None
    shift = found.belief.slope_shift_kj_mol[CropKind("pawpaw")]
    energy = CROPS["pawpaw"].rate.activation_kj_mol
    assert energy is not None
    response = Projector(CROPS, ZONE, found).constants[CropKind("pawpaw")].response
    assert shift != 0.0
    assert response.activation_kj_mol == pytest.approx(energy.value + shift)  # type: ignore[union-attr]

"""What is believed before any check."""

import numpy as np
import pytest

from ripenroom.science.learning.model import (
    SPREAD_SD,
    CheckColumns,
    CropUnknowns,
    CultivarUnknowns,
    FarmModel,
    HarvestUnknowns,
    LessonEvidence,
)

NOTHING = np.empty(0)
NONE = np.empty(0, dtype=np.intp)


def farm(told: LessonEvidence | None = None) -> FarmModel:
    """Two crops; two cultivars of the first, of which one is faster, and one of the second."""
    return FarmModel(
        CropUnknowns(np.array([0.8, 0.5]), np.array([0.1, 0.0]), np.array([0.2, 0.3]), np.zeros(2)),
        CultivarUnknowns(np.array([0, 0, 1]), np.array([0.0, 0.4, 0.0]), np.array([0.1, 0.1, 0.2])),
        told or LessonEvidence(NONE, NOTHING, NOTHING),
        HarvestUnknowns(NONE, NOTHING, NOTHING, NOTHING),
        CheckColumns(NONE, NOTHING, NOTHING, ()),
    )


def test_cultivars_lie_around_their_crop_and_learn_from_one_another() -> None:
    of = farm()
    mean, precision = of.prior()
    covariance = np.linalg.inv(precision)
    assert mean[of.cultivar_rate] == pytest.approx([0.1, 0.5, 0.0])
    sd = np.sqrt(np.diag(covariance))
    assert sd[of.cultivar_rate] == pytest.approx(np.hypot([0.2, 0.2, 0.3], [0.1, 0.1, 0.2]))
    assert sd[of.log_spread] == pytest.approx(SPREAD_SD)
    assert sd[of.slope_offset] == pytest.approx(1.0)
    first = of.cultivar_rate.start
    assert covariance[first, first + 1] == pytest.approx(0.2**2)
    assert covariance[first, first + 2] == pytest.approx(0.0)


def test_what_was_told_of_one_cultivar_moves_its_sister_less() -> None:
    of = farm(LessonEvidence(np.array([0]), np.array([0.5]), np.array([0.1])))
    mean = of.prior()[0][of.cultivar_rate]
    assert mean[0] == pytest.approx(0.1 + 0.4 * 0.05 / (0.05 + 0.01))
    assert 0.5 < mean[1] < 0.5 + (mean[0] - 0.1)
    assert mean[2] == pytest.approx(0.0)


def test_every_unknown_has_its_place() -> None:
    of = farm()
    numbers = np.arange(of.shared)
    parts = [
        numbers[part]
        for part in (
            of.crop_rate,
            of.slope_offset,
            of.cultivar_rate,
            of.log_spread,
            of.able_offset,
        )
    ]
    assert np.concatenate(parts).tolist() == numbers.tolist()
    assert of.own().tolist() == [[4, 2, 7, 10], [5, 2, 8, 10], [6, 3, 9, 11]]

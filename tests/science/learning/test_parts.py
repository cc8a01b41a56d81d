"""Crops are learned by themselves, and a search takes over only what is the same to the bit."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.model import (
    CheckColumns,
    CropUnknowns,
    CultivarUnknowns,
    FarmModel,
    HarvestUnknowns,
    LessonEvidence,
)
from ripenroom.science.learning.parts import parts_of, same_farm
from ripenroom.science.learning.posterior import Posterior, learn
from ripenroom.science.softening import Floats
from tests.science.learning.farms import FRUIT_SD, RATE, RATE_SD, by_hand

CROP_OF_CULTIVAR = np.array([1, 0, 1])
CULTIVAR_OF_HARVEST = np.array([0, 1, 2, 0, 1, 1])
HARVEST_OF_CHECK = np.array([0, 1, 2, 3, 4, 0, 1, 2, 3, 5])


def two_crops(counts: Floats) -> FarmModel:
    """Two crops with two and one cultivars, which lie mixed in all tables."""
    number = counts.shape[0]
    one = np.ones(number)
    return FarmModel(
        CropUnknowns(
            np.array([RATE, 0.5]), np.zeros(2), np.array([RATE_SD, 0.2]), np.array([0.0, 0.6])
        ),
        CultivarUnknowns(CROP_OF_CULTIVAR, np.array([0.0, 0.1, -0.1]), np.full(3, 0.15)),
        LessonEvidence(np.array([2]), np.array([0.2]), np.array([0.3])),
        HarvestUnknowns(
            CULTIVAR_OF_HARVEST, np.linspace(-1.8, -1.2, 6), np.full(6, 0.5), np.full(6, FRUIT_SD)
        ),
        CheckColumns(
            HARVEST_OF_CHECK[:number],
            np.linspace(1.0, 5.0, number),
            0.1 * one,
            ((by_hand(counts, 0.9), np.arange(number)),),
        ),
    )


def some_counts(seed: int, number: int = 10) -> Floats:
    chances = (0.1, 0.2, 0.3, 0.3, 0.1)
    return np.random.default_rng(seed).multinomial(20, chances, number).astype(float)


@pytest.fixture
def looked_at(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many checks each look was at."""
    numbers: list[int] = []
    expand = FeltChecks.expand

    def counting(self: FeltChecks, checks: np.ndarray, *at: Floats) -> Expansion:
        numbers.append(checks.size)
        return expand(self, checks, *at)

    monkeypatch.setattr(FeltChecks, "expand", counting)
    return numbers


def assert_same(one: Posterior, other: Posterior) -> None:
    for a, b in ((one.mode, other.mode), (one.mean, other.mean)):
        assert a.shared.tolist() == b.shared.tolist()
        assert a.age.tolist() == b.age.tolist()
    assert one.arrow.tip.tolist() == other.arrow.tip.tolist()
    assert one.arrow.diagonal.tolist() == other.arrow.diagonal.tolist()
    assert one.look.here.xx.tolist() == other.look.here.xx.tolist()


def test_the_parts_have_everything_once() -> None:
    farm = two_crops(some_counts(1))
    parts = parts_of(farm)
    for name, number in (("shared", farm.shared), ("harvests", 6), ("checks", 10)):
        found = np.concatenate([getattr(part, name) for part in parts])
        assert sorted(found.tolist()) == list(range(number))
    mean, precision = farm.prior()
    for part in parts:
        own_mean, own_precision = part.farm.prior()
        assert own_mean == pytest.approx(mean[part.shared])
        assert own_precision.tolist() == precision[np.ix_(part.shared, part.shared)].tolist()


def test_a_crop_is_found_as_if_there_were_no_other() -> None:
    farm = two_crops(some_counts(2))
    whole = learn(farm)
    for part in parts_of(farm):
        alone = learn(part.farm)
        assert alone.mode.shared.tolist() == whole.mode.shared[part.shared].tolist()
        assert alone.mean.age.tolist() == whole.mean.age[part.harvests].tolist()
        covariance = whole.arrow.tip_covariance[np.ix_(part.shared, part.shared)]
        assert alone.arrow.tip_covariance == pytest.approx(covariance)


@pytest.mark.parametrize("seed", range(6))
def test_what_was_seen_before_changes_no_bit(seed: int) -> None:
    counts = some_counts(seed)
    first = learn(two_crops(counts[:9]))
    assert_same(learn(two_crops(counts), before=(first,)), learn(two_crops(counts)))


def test_a_crop_of_which_nothing_is_other_is_not_looked_at(looked_at: list[int]) -> None:
    counts = some_counts(3)
    first = learn(two_crops(counts))
    looked_at.clear()
    assert_same(learn(two_crops(counts), before=(first,)), first)
    assert not looked_at
    counts[0] = counts[0][::-1]  # of the second crop
    again = learn(two_crops(counts), before=(first,))
    assert again.parts[0] is first.parts[0]
    assert sum(looked_at) > 0


def test_a_farm_is_the_same_only_with_all_that_it_was_told() -> None:
    counts = some_counts(4)
    farm = two_crops(counts)
    assert same_farm(farm, two_crops(counts))
    assert not same_farm(farm, two_crops(counts[:9]))
    other = counts.copy()
    other[3, 0] += 1.0
    assert not same_farm(farm, two_crops(other))
    older = replace(farm.harvests, age=farm.harvests.age + 1e-12)
    assert not same_farm(farm, replace(farm, harvests=older))


def test_how_likely_a_check_is_does_not_hang_on_its_company() -> None:
    counts = some_counts(5, 400)
    checks = by_hand(counts)
    age = np.linspace(-3.0, 4.0, 400)
    sd, able = np.full(400, FRUIT_SD), np.zeros(400)
    every = checks.expand(np.arange(400), age, sd, able)
    for some in (np.array([7]), np.array([3, 399]), np.arange(1, 400, 3)):
        own = checks.expand(some, age[some], sd[some], able[some])
        for name in ("value", "x", "s", "a", "xx", "xs", "ss", "xa", "sa", "aa"):
            assert getattr(own, name).tolist() == getattr(every, name)[some].tolist()
